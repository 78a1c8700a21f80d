//! Overlaps and gaps between zones.

use geo::{
    Area as _, BooleanOps, BoundingRect, Centroid, Coord, Euclidean, Length as _, MapCoords,
    MultiPolygon, Polygon, Simplify as _, Winding as _, unary_union,
};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use crate::geometry::degree;

/// Slivers narrower than this, in meters, come of positions with six decimals (0.11 m).
const NARROW: f64 = 0.12;
/// Less than this, in m², nobody would find in the field.
const SMALL: f64 = 1.0;
/// Holes between zones that are wider than this on average, in meters, are ponds and yards.
const WIDE: f64 = 5.0;
/// Holes that are shorter than this many times their width are narrow, but meant: wells and poles.
const LONG: f64 = 10.0;
/// A corner sharper than this, in degrees, is no part of a round end: what lies within a distance of a
/// ditch is drawn with turns of under 40 where the distance is 10 cm, and of less where it is more.
const ROUND: f64 = 60.0;
/// Vertices that move a ring by less than this, in meters, say nothing of its shape.
const RIPPLE: f64 = 0.01;
/// What is told of each kind; more would hide the rest.
const MOST_TOLD: usize = 20;

/// What was found about how zones lie to each other.
#[derive(Default)]
pub(super) struct Tiling {
    pub departures: Vec<String>,
    pub notes: Vec<String>,
}

/// A plane with meters for degrees, near the middle of the zones.
struct Plane {
    origin: Coord<f64>,
    metres: Coord<f64>,
}

impl Plane {
    fn around(origin: Coord<f64>) -> Self {
        Self { origin, metres: degree(origin.y) }
    }

    fn lay(&self, polygon: &Polygon<f64>) -> Polygon<f64> {
        polygon.map_coords(|at| Coord {
            x: (at.x - self.origin.x) * self.metres.x,
            y: (at.y - self.origin.y) * self.metres.y,
        })
    }

    fn place(&self, shape: &Polygon<f64>) -> String {
        let at = shape.centroid().map_or(Coord { x: 0.0, y: 0.0 }, Coord::from);
        let degrees = Coord {
            x: at.x / self.metres.x + self.origin.x,
            y: at.y / self.metres.y + self.origin.y,
        };
        format!("{:.6}, {:.6}", degrees.x, degrees.y)
    }
}

/// Looks for overlaps and gaps among named zones, and for what of `field` no zone covers.
/// Everything is in degrees.
pub(super) fn tiling(
    zones: &[(String, Polygon<f64>)],
    field: Option<&MultiPolygon<f64>>,
) -> Tiling {
    let mut found = Tiling::default();
    let all = zones.iter().map(|(_, polygon)| polygon.clone()).collect::<MultiPolygon<f64>>();
    let Some(bounds) = all.bounding_rect() else { return found };
    let plane = Plane::around(bounds.center());
    let shapes: Vec<Polygon<f64>> = zones.iter().map(|(_, polygon)| plane.lay(polygon)).collect();
    let union = unary_union(&shapes);
    let sum: f64 = shapes.iter().map(geo::Area::unsigned_area).sum();
    if sum - union.unsigned_area() > SMALL {
        overlaps(zones, &shapes, &plane, &mut found);
    }
    holes(&union, &plane, &mut found);
    if let Some(field) = field {
        let field: MultiPolygon<f64> = field.iter().map(|part| plane.lay(part)).collect();
        for rest in worth_telling(&field.difference(&union)).take(MOST_TOLD) {
            found.departures.push(format!(
                "no zone covers {:.0} m2 of the field near {}",
                rest.unsigned_area(),
                plane.place(rest)
            ));
        }
        for beyond in worth_telling(&union.difference(&field)).take(MOST_TOLD) {
            found.departures.push(format!(
                "zones reach {:.0} m2 out of the field near {}",
                beyond.unsigned_area(),
                plane.place(beyond)
            ));
        }
    }
    found
}

fn overlaps(
    zones: &[(String, Polygon<f64>)],
    shapes: &[Polygon<f64>],
    plane: &Plane,
    found: &mut Tiling,
) {
    type Framed = GeomWithData<Rectangle<[f64; 2]>, usize>;
    let frame = |(i, shape): (usize, &Polygon<f64>)| -> Option<Framed> {
        let bounds = shape.bounding_rect()?;
        let corners = Rectangle::from_corners(bounds.min().into(), bounds.max().into());
        Some(GeomWithData::new(corners, i))
    };
    let framed: Vec<Framed> = shapes.iter().enumerate().filter_map(frame).collect();
    let tree = RTree::bulk_load(framed.clone());
    let mut count = 0;
    for one in &framed {
        let corners = AABB::from_corners(one.geom().lower(), one.geom().upper());
        let mut others: Vec<usize> = tree
            .locate_in_envelope_intersecting(&corners)
            .map(|other| other.data)
            .filter(|other| *other > one.data)
            .collect();
        others.sort_unstable();
        for second in others {
            let (Some(a), Some(b)) = (shapes.get(one.data), shapes.get(second)) else { continue };
            let shared = a.intersection(b);
            let Some(largest) = worth_telling(&shared)
                .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))
            else {
                continue;
            };
            let name = |i: usize| zones.get(i).map_or("", |(name, _)| name.as_str());
            found.departures.push(format!(
                "{} and {} overlap by {:.0} m2 near {}",
                name(one.data),
                name(second),
                shared.unsigned_area(),
                plane.place(largest)
            ));
            count += 1;
            if count == MOST_TOLD {
                found
                    .departures
                    .push(format!("more than {MOST_TOLD} overlaps; the rest is not told"));
                return;
            }
        }
    }
}

fn holes(union: &MultiPolygon<f64>, plane: &Plane, found: &mut Tiling) {
    let rings = union.iter().flat_map(Polygon::interiors);
    let holes: MultiPolygon<f64> = rings.map(|ring| Polygon::new(ring.clone(), vec![])).collect();
    for hole in worth_telling(&holes).take(MOST_TOLD) {
        let (area, at) = (hole.unsigned_area(), plane.place(hole));
        let long = Euclidean.length(hole.exterior()) > 2.0 * LONG * width(hole);
        if long && width(hole) < WIDE && !has_round_ends(hole) {
            found.departures.push(format!("a gap of {area:.0} m2 between zones near {at}"));
        } else {
            found
                .notes
                .push(format!("a hole of {area:.0} m2 in the zones near {at}: no rate there"));
        }
    }
}

/// Whether a strip ends round, as the ground along a ditch or a drain does: two zones that do not meet
/// leave a slit with corners.
fn has_round_ends(strip: &Polygon<f64>) -> bool {
    let mut ring = strip.exterior().simplify(RIPPLE);
    ring.make_ccw_winding();
    let edges: Vec<Coord<f64>> = ring.lines().map(|edge| edge.delta()).collect();
    let turn = |(before, after): (&Coord<f64>, &Coord<f64>)| {
        let cross = before.x * after.y - before.y * after.x;
        libm::atan2(cross, before.x * after.x + before.y * after.y).to_degrees()
    };
    edges.iter().zip(edges.iter().cycle().skip(1)).map(turn).all(|turn| turn < ROUND)
}

/// Pieces that are neither small nor slivers.
fn worth_telling(pieces: &MultiPolygon<f64>) -> impl Iterator<Item = &Polygon<f64>> {
    pieces.iter().filter(|piece| piece.unsigned_area() > SMALL && width(piece) > NARROW)
}

/// The mean width of a long piece: its area over half of what goes around it.
fn width(piece: &Polygon<f64>) -> f64 {
    2.0 * piece.unsigned_area() / Euclidean.length(piece.exterior())
}
