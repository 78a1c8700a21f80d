use geo::{
    Area as _, BoundingRect, ConvexHull, Coord, GeodesicArea, LineString, MapCoords, MultiPolygon,
    Polygon, Validation,
};

use super::rings::{meetings, misplaced_hole, nested_parts, rings};
use super::{BoundaryError, RingPlace};
use crate::geometry::{Feature, Frame};
use crate::units::{Area, Length};

/// Smallest ring that counts as having an area: 10 cm square, below what any survey resolves.
const LEAST_AREA_M2: f64 = 0.01;

/// Widest field: 50 km keeps the frame's scale error under 1e-5 and catches boundaries whose
/// coordinate system is wrong.
pub(crate) const WIDEST_M: f64 = 50_000.0;

/// Meters in a degree of latitude, to judge whether a ring in degrees is degenerate.
const METRES_PER_DEGREE: f64 = 111_320.0;

/// A field boundary of one or more parts, each with any number of holes.
///
/// Exteriors run counter-clockwise and holes clockwise; rings are closed, do not cross, and repeat
/// no vertex in a row. The vertices in degrees are those of the source, bit for bit.
#[derive(Clone, Debug)]
pub struct Boundary {
    wgs84: MultiPolygon<f64>,
    local: MultiPolygon<f64>,
    frame: Frame,
    area: Area,
    width: Length,
}

impl Boundary {
    /// A boundary from polygons in WGS84 longitude and latitude, degrees. `file` names the source
    /// in messages.
    ///
    /// # Errors
    /// When the polygons are not sound: see [`BoundaryError`]. Polygons close their rings
    /// themselves, so an open ring is only noticed by [`Boundary::from_rings`].
    pub fn new(wgs84: MultiPolygon<f64>, file: &str) -> Result<Self, BoundaryError> {
        let parts = wgs84.0.into_iter().map(|polygon| {
            let (exterior, interiors) = polygon.into_inner();
            std::iter::once(exterior).chain(interiors).map(|ring| ring.0).collect()
        });
        Boundary::from_rings(parts.collect(), file)
    }

    /// A boundary from the rings of its parts as read, each part's outer ring first.
    ///
    /// # Errors
    /// When the rings are not sound: see [`BoundaryError`].
    pub fn from_rings(parts: Vec<Vec<Vec<Coord<f64>>>>, file: &str) -> Result<Self, BoundaryError> {
        let mut polygons = Vec::new();
        for (part, part_rings) in (1..).zip(parts) {
            let mut lines = Vec::new();
            for (ring, coords) in (1..).zip(part_rings) {
                lines.push(sound_ring(coords, RingPlace { part, ring }, file)?);
            }
            let mut lines = lines.into_iter();
            if let Some(exterior) = lines.next() {
                polygons.push(Polygon::new(exterior, lines.collect()));
            }
        }
        let wgs84 = MultiPolygon(polygons);
        let empty = || BoundaryError::Empty { file: file.to_owned() };
        let centre = wgs84.bounding_rect().ok_or_else(empty)?.center();
        let frame = Frame::around(centre);
        let local = to_local(&wgs84, &frame, file)?;
        let extent = local.bounding_rect().ok_or_else(empty)?;
        let width = extent.width().max(extent.height());
        if width > WIDEST_M {
            return Err(BoundaryError::TooWide { file: file.to_owned(), width, limit: WIDEST_M });
        }
        check(&wgs84, &local, &frame, file)?;
        let (wgs84, local) = wound(wgs84, local);
        let area = Area::square_metres(wgs84.geodesic_area_signed());
        Ok(Boundary { wgs84, local, frame, area, width: Length::metres(width) })
    }

    /// The polygons in WGS84 longitude and latitude, degrees.
    #[must_use]
    pub fn wgs84(&self) -> &MultiPolygon<f64> {
        &self.wgs84
    }

    /// The polygons in the frame's meters, vertex for vertex those of [`Boundary::wgs84`].
    #[must_use]
    pub fn local(&self) -> &MultiPolygon<f64> {
        &self.local
    }

    /// The field's own meters.
    #[must_use]
    pub fn frame(&self) -> &Frame {
        &self.frame
    }

    /// The area on the WGS84 ellipsoid, geodesic (Karney 2013), holes left out.
    #[must_use]
    pub fn area(&self) -> Area {
        self.area
    }

    /// How far a place, in WGS84 degrees, is outside; none where it is in no reach of the field's meters.
    #[must_use]
    pub fn outside(&self, wgs84: Coord<f64>) -> Option<Length> {
        let at = self.frame().to_local(wgs84).ok()?;
        Some(Length::metres(Feature::from(self.local()).distance(at).max(0.0)))
    }

    /// The larger side of the box around the field.
    #[must_use]
    pub fn width(&self) -> Length {
        self.width
    }
}

/// A ring that is closed, finite, in degrees and where fields are, without repeated vertices.
fn sound_ring(
    coords: Vec<Coord<f64>>,
    ring: RingPlace,
    file: &str,
) -> Result<LineString<f64>, BoundaryError> {
    let name = || file.to_owned();
    for &at in &coords {
        check_position(at, ring, file)?;
    }
    let (start, end) = (coords.first().copied(), coords.last().copied());
    let mut line = coords;
    line.dedup();
    // The closing vertex repeats the first one.
    let found = line.len().saturating_sub(usize::from(line.len() > 1 && start == end));
    if found < 3 {
        return Err(BoundaryError::TooFewPoints { file: name(), ring, found });
    }
    match (start, end) {
        (Some(start), Some(end)) if start != end => {
            Err(BoundaryError::NotClosed { file: name(), ring, start: show(start), end: show(end) })
        }
        _ => Ok(LineString(line)),
    }
}

fn check_position(at: Coord<f64>, ring: RingPlace, file: &str) -> Result<(), BoundaryError> {
    let file = || file.to_owned();
    let farmland = -60.0..=72.0;
    if !at.x.is_finite() || !at.y.is_finite() {
        Err(BoundaryError::NotFinite { file: file(), ring })
    } else if at.x.abs() <= 180.0 && farmland.contains(&at.y) {
        Ok(())
    } else if farmland.contains(&at.x) && at.y.abs() <= 180.0 {
        Err(BoundaryError::Swapped { file: file(), ring, at: show(at) })
    } else if at.x.abs() <= 180.0 && at.y.abs() <= 90.0 {
        Err(BoundaryError::NoFarmland { file: file(), ring, latitude: at.y })
    } else {
        Err(BoundaryError::NotDegrees { file: file(), ring, at: show(at) })
    }
}

pub(super) fn to_local(
    wgs84: &MultiPolygon<f64>,
    frame: &Frame,
    file: &str,
) -> Result<MultiPolygon<f64>, BoundaryError> {
    let unsound = |e: crate::geometry::OutOfReach| BoundaryError::Unsound {
        file: file.to_owned(),
        reason: e.to_string(),
    };
    let line = |ring: &LineString<f64>| {
        let mut coords = ring.0.clone();
        frame.all_to_local(&mut coords).map(|()| LineString(coords)).map_err(unsound)
    };
    let polygon = |p: &Polygon<f64>| {
        let holes = p.interiors().iter().map(line).collect::<Result<_, _>>()?;
        Ok(Polygon::new(line(p.exterior())?, holes))
    };
    Ok(MultiPolygon(wgs84.0.iter().map(polygon).collect::<Result<_, _>>()?))
}

/// Checks how the rings lie to themselves and to each other.
fn check(
    wgs84: &MultiPolygon<f64>,
    local: &MultiPolygon<f64>,
    frame: &Frame,
    file: &str,
) -> Result<(), BoundaryError> {
    let file = file.to_owned();
    for ((ring, degrees), (_, metres)) in rings(wgs84).zip(rings(local)) {
        // By the hull, since the signed area of a ring that crosses itself may be nothing too. Points
        // on one line of latitude are on a slight curve in meters: both must have an area.
        let squash =
            libm::cos(frame.centre().y.to_radians()) * METRES_PER_DEGREE * METRES_PER_DEGREE;
        let flat = degrees.map_coords(|c| c - frame.centre());
        if (hull_area(&flat) * squash).min(hull_area(metres)) < LEAST_AREA_M2 {
            return Err(BoundaryError::NoArea { file, ring });
        }
    }
    let meetings = meetings(local);
    if let Some(meeting) = meetings.wrong {
        let at = frame.to_wgs84(meeting.at).map_or_else(|e| e.to_string(), show);
        let (first, second) = (meeting.first, meeting.second);
        return Err(if first == second {
            BoundaryError::SelfCrossing { file, ring: first, at }
        } else if first.part == second.part {
            BoundaryError::RingsCross { file, first, second, at }
        } else {
            BoundaryError::PartsCross { file, first: first.part, second: second.part, at }
        });
    }
    if let Some(ring) = misplaced_hole(local) {
        return Err(BoundaryError::HoleMisplaced { file, ring });
    }
    if let Some((inner, outer)) = nested_parts(local) {
        return Err(BoundaryError::PartInPart { file, inner, outer });
    }
    if !meetings.touching {
        return Ok(());
    }
    // What is left are rings that cross exactly through each other's vertices. Tries every edge with
    // every other.
    local
        .check_validation()
        .map_err(|reason| BoundaryError::Unsound { file, reason: reason.to_string() })
}

fn hull_area(ring: &LineString<f64>) -> f64 {
    ring.convex_hull().unsigned_area()
}

fn ring_area(ring: &LineString<f64>) -> f64 {
    Polygon::new(ring.clone(), vec![]).signed_area()
}

/// Both forms with exteriors counter-clockwise and holes clockwise.
fn wound(
    mut wgs84: MultiPolygon<f64>,
    mut local: MultiPolygon<f64>,
) -> (MultiPolygon<f64>, MultiPolygon<f64>) {
    let turn = |ring: &mut LineString<f64>| ring.0.reverse();
    for (degrees, metres) in wgs84.0.iter_mut().zip(&mut local.0) {
        if ring_area(metres.exterior()) < 0.0 {
            degrees.exterior_mut(turn);
            metres.exterior_mut(turn);
        }
        let clockwise: Vec<bool> =
            metres.interiors().iter().map(|hole| ring_area(hole) < 0.0).collect();
        for polygon in [degrees, metres] {
            polygon.interiors_mut(|holes| {
                holes.iter_mut().zip(&clockwise).filter(|(_, ok)| !**ok).for_each(|(h, _)| turn(h));
            });
        }
    }
    (wgs84, local)
}

/// A position for a message: about a decimeter.
fn show(at: Coord<f64>) -> String {
    format!("{:.6}, {:.6}", at.x, at.y)
}

#[cfg(test)]
mod tests;
