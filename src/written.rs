//! Positions as they are written: WGS84, to a millimeter, without moving the boundary.

use std::collections::BTreeMap;

use geo::{Coord, MultiPolygon};

use crate::field::Boundary;
use crate::geometry::{Face, Frame, OutOfReach, is_right_way_round, is_sound};
use crate::units::round_to;
use crate::zones::{GridPoint, Partition, Settled, settled};

/// Decimals of a degree that coordinates are written with: 1.1 mm (RFC 7946, section 11.2, asks for
/// no more than is needed).
pub const COORDINATE_DECIMALS: u32 = 8;

/// How far a vertex may slide along the boundary to come nearer to it, in meters: under half the
/// distance that vertices keep.
const SLIDE: f64 = 0.008;

/// A position in degrees, rounded as it is written.
#[must_use]
pub fn rounded(degrees: Coord<f64>) -> Coord<f64> {
    let round = |value: f64| round_to(value, COORDINATE_DECIMALS);
    Coord { x: round(degrees.x), y: round(degrees.y) }
}

/// A partition with the places that its vertices are written at.
pub struct Written {
    /// The pieces.
    pub pieces: Partition,
    /// Where each vertex is written, degrees; those that no piece has any more have no place.
    pub places: Vec<Coord<f64>>,
    /// How many pieces were thinner than can be written, and are gone.
    pub lost: usize,
}

impl Written {
    /// Places the vertices of a partition; pieces that rounding would fold over themselves are made
    /// whole, and what is left of none of them goes to its neighbors.
    ///
    /// # Errors
    /// When a position cannot be converted.
    pub fn new(pieces: Partition, boundary: &Boundary) -> Result<Self, OutOfReach> {
        let places = places(&pieces, boundary)?;
        let nowhere = Coord { x: f64::NAN, y: f64::NAN };
        let place = |id: u32| places.get(id as usize).copied().unwrap_or(nowhere);
        let coverage = &pieces.coverage;
        let is_whole = |face| {
            let polygon = coverage.polygon(face, place);
            is_right_way_round(&polygon) && is_sound(&polygon)
        };
        if coverage.faces.iter().all(is_whole) {
            return Ok(Self { pieces, places, lost: 0 });
        }
        let (faces, places) = straightened(&coverage.faces, &places, boundary.frame())?;
        let place = |id: u32| places.get(id as usize).copied().unwrap_or(nowhere);
        match settled(&faces, |id| grid_point(place(id))) {
            Some(settled) => Self::of(settled, boundary.frame()),
            None => Ok(Self { pieces, places, lost: 0 }),
        }
    }

    fn of(settled: Settled, frame: &Frame) -> Result<Self, OutOfReach> {
        let Settled { points, mut coverage, lost } = settled;
        let places: Vec<Coord<f64>> = points.iter().map(|point| degrees(*point)).collect();
        coverage.vertices.clone_from(&places);
        frame.all_to_local(&mut coverage.vertices)?;
        Ok(Self { pieces: Partition::of(coverage), places, lost })
    }
}

/// Where each vertex of a partition is written; those that no zone has any more have no place.
///
/// The boundary's corners keep their own digits. A vertex where a level line meets the boundary
/// takes, among the written positions within a few millimeters, the one nearest to the boundary's
/// edge: plain rounding would bend a long edge by half a millimeter, which in a small field is a
/// millionth of its area.
///
/// # Errors
/// When a position cannot be converted.
fn places(partition: &Partition, boundary: &Boundary) -> Result<Vec<Coord<f64>>, OutOfReach> {
    let frame = boundary.frame();
    let vertices = &partition.coverage.vertices;
    let used = partition.used_vertices();
    let mut wgs84: Vec<Coord<f64>> =
        used.iter().filter_map(|id| vertices.get(*id as usize).copied()).collect();
    frame.all_to_wgs84(&mut wgs84)?;
    let mut places = vec![Coord { x: f64::NAN, y: f64::NAN }; vertices.len()];
    for (id, at) in used.iter().zip(wgs84) {
        if let Some(place) = places.get_mut(*id as usize) {
            *place = at;
        }
    }
    for (id, at) in partition.corners.iter().zip(corners(boundary.wgs84())) {
        if let Some(place) = places.get_mut(*id as usize) {
            *place = at;
        }
    }
    for place in &mut places {
        *place = rounded(*place);
    }
    let grid = Grid::of(frame)?;
    let at = |id: u32| places.get(id as usize).copied().unwrap_or_default();
    let mut lines: Vec<Coord<f64>> = Vec::new();
    for (vertex, [a, b]) in &partition.landings {
        lines.extend([at(*a), at(*b), at(*vertex)]);
    }
    frame.all_to_local(&mut lines)?;
    for ((vertex, _), line) in partition.landings.iter().zip(lines.chunks_exact(3)) {
        if let (Some(place), [a, b, near]) = (places.get_mut(*vertex as usize), line) {
            *place = grid.nearest_to_edge(*place, [*a, *b, *near]);
        }
    }
    Ok(places)
}

/// The faces with vertices along their long edges, near enough for straight lines between degrees to
/// run where the edges do in the field's meters, and where all vertices are written.
///
/// Over a length L the two part by L² tan(latitude) / 8R.
///
/// # Errors
/// When a position cannot be converted.
fn straightened(
    faces: &[Face],
    places: &[Coord<f64>],
    frame: &Frame,
) -> Result<(Vec<Face>, Vec<Coord<f64>>), OutOfReach> {
    /// The earth's mean radius, and how far the lines may part: half of what is written.
    const RADIUS: f64 = 6_371_009.0;
    const APART: f64 = 0.5e-3;
    let bend = libm::tan(frame.centre().y.to_radians()).abs() / (8.0 * RADIUS);
    let longest = (APART / bend).sqrt();
    let mut local: Vec<Coord<f64>> =
        places.iter().map(|at| if at.x.is_nan() { frame.centre() } else { *at }).collect();
    frame.all_to_local(&mut local)?;
    let at = |id: u32| local.get(id as usize).copied().unwrap_or_default();
    let mut added: Vec<Coord<f64>> = Vec::new();
    let mut between: BTreeMap<[u32; 2], Vec<u32>> = BTreeMap::new();
    for [a, b] in faces.iter().flat_map(Face::edges).map(|[a, b]| [a.min(b), a.max(b)]) {
        let way = at(b) - at(a);
        let parts = (libm::hypot(way.x, way.y) / longest).ceil();
        if parts > 1.0 && !between.contains_key(&[a, b]) {
            let shares = (1..).map(f64::from).take_while(|part| *part < parts);
            let ids = shares.map(|part| {
                added.push(at(a) + way * (part / parts));
                u32::try_from(places.len() + added.len() - 1).unwrap_or(u32::MAX)
            });
            between.insert([a, b], ids.collect());
        }
    }
    frame.all_to_wgs84(&mut added)?;
    let along = |[a, b]: [u32; 2]| -> Vec<u32> {
        let ids = between.get(&[a.min(b), a.max(b)]).map_or(&[][..], Vec::as_slice);
        let onward = std::iter::once(a);
        if a < b {
            onward.chain(ids.iter().copied()).collect()
        } else {
            onward.chain(ids.iter().rev().copied()).collect()
        }
    };
    let ring = |ids: &Vec<u32>| -> Vec<u32> {
        let ends = ids.iter().zip(ids.iter().cycle().skip(1));
        ends.flat_map(|(&a, &b)| along([a, b])).collect()
    };
    let faces = faces.iter().map(|face| Face {
        class: face.class,
        exterior: ring(&face.exterior),
        holes: face.holes.iter().map(ring).collect(),
    });
    let places = places.iter().copied().chain(added.into_iter().map(rounded));
    Ok((faces.collect(), places.collect()))
}

/// A boundary's positions in order, the first of each ring not repeated.
fn corners(boundary: &MultiPolygon<f64>) -> impl Iterator<Item = Coord<f64>> {
    boundary
        .iter()
        .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()))
        .flat_map(|ring| ring.0.iter().copied().take(ring.0.len().saturating_sub(1)))
}

/// The steps between written positions, in the field's meters.
struct Grid {
    east: Coord<f64>,
    north: Coord<f64>,
}

impl Grid {
    /// The steps at the field's center; over a field they turn by well under a milliradian, which
    /// over a slide is micrometres.
    fn of(frame: &Frame) -> Result<Self, OutOfReach> {
        const SPAN: f64 = 1e-3;
        let centre = frame.centre();
        let mut ends =
            [centre + Coord { x: SPAN, y: 0.0 }, centre + Coord { x: 0.0, y: SPAN }, centre];
        frame.all_to_local(&mut ends)?;
        let [east, north, origin] = ends;
        let steps = SPAN / step();
        Ok(Self { east: (east - origin) / steps, north: (north - origin) / steps })
    }

    /// The written position near `near` that lies nearest to the line through two places; `line` is
    /// those two and `near` itself, in meters.
    fn nearest_to_edge(&self, near: Coord<f64>, line: [Coord<f64>; 3]) -> Coord<f64> {
        let [a, b, at] = line;
        let along = b - a;
        let length = libm::hypot(along.x, along.y);
        let off = |shift: Coord<f64>| {
            let from_a = at + shift - a;
            (from_a.x * along.y - from_a.y * along.x).abs() / length
        };
        let mut best = (off(Coord { x: 0.0, y: 0.0 }), 0.0, near);
        for i in -10..=10 {
            for j in -10..=10 {
                let (i, j) = (f64::from(i), f64::from(j));
                let shift = self.east * i + self.north * j;
                let slide = libm::hypot(shift.x, shift.y);
                // A nearer position must be worth its slide: a micrometre off for 10 mm along.
                let better = (off(shift) + slide * 1e-4, slide);
                if slide <= SLIDE && better < (best.0, best.1) {
                    let place = Coord { x: near.x + i * step(), y: near.y + j * step() };
                    best = (better.0, better.1, rounded(place));
                }
            }
        }
        best.2
    }
}

/// A written position in steps.
#[expect(clippy::cast_possible_truncation, reason = "degrees are at most 180")]
fn grid_point(degrees: Coord<f64>) -> GridPoint {
    [degrees.x, degrees.y].map(|value| (value / step()).round() as i64)
}

fn degrees([east, north]: GridPoint) -> Coord<f64> {
    rounded(Coord { x: east as f64 * step(), y: north as f64 * step() })
}

/// The step between written positions, in degrees.
fn step() -> f64 {
    0.1_f64.powi(COORDINATE_DECIMALS.cast_signed())
}
