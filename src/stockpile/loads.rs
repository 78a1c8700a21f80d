//! What is to be spread where, as loads at places.

use std::collections::BTreeMap;

use geo::orient::{Direction, Orient as _};
use geo::{Area as _, BoundingRect, Coord, Polygon, Rect};

use super::search::Landscape;
use crate::geometry::cut;
use crate::units::Mass;

/// A field is cut into pieces whose sides are at most this share of the side of a square of its area.
const SIDE: f64 = 1.0 / 55.0;
/// The smallest piece, in square meters: what is less is rounding.
const LEAST_M2: f64 = 1e-9;
/// How much more loaded travel than the least is taken for the least, as a share: under what
/// the loads themselves are sure to.
const SLACK: f64 = 1e-4;

/// Material for a small piece of one zone.
#[derive(Clone, Copy, Debug)]
pub struct Load {
    /// Where it goes, in meters.
    pub at: Coord<f64>,
    /// Kilograms.
    pub mass: f64,
    /// The zone, counted from 0 in the order given.
    pub zone: usize,
}

/// The loads of zones in meters: each zone cut into small pieces, the material of a piece in its
/// centroid. The travel to a place comes out within 2e-4 of that over the whole zones: a piece of
/// side s adds about s²/24d² to its way d.
pub fn loads(zones: &[(Polygon<f64>, Mass)]) -> Vec<Load> {
    let area: f64 = zones.iter().map(|(polygon, _)| polygon.unsigned_area()).sum();
    let side = SIDE * area.sqrt();
    let mut loads = Vec::new();
    for (zone, (polygon, mass)) in zones.iter().enumerate() {
        let Some(bounds) = polygon.bounding_rect() else { continue };
        let oriented = polygon.orient(Direction::Default);
        let rings = std::iter::once(oriented.exterior()).chain(oriented.interiors());
        // The first position is not repeated.
        let rings: Vec<Vec<Coord<f64>>> =
            rings.map(|ring| ring.0.iter().skip(1).copied().collect()).collect();
        let mut pieces = Vec::new();
        cut_up(&rings, bounds, side, &mut pieces);
        let whole: f64 = pieces.iter().map(|piece| piece.0).sum();
        let mass = mass.as_kilograms();
        let load = |(area, at): (f64, Coord<f64>)| Load { at, mass: mass * area / whole, zone };
        loads.extend(pieces.into_iter().map(load).filter(|load| load.mass > 0.0));
    }
    loads
}

/// Cuts rings in halves until the pieces are small; gives the area and the centroid of each.
fn cut_up(
    rings: &[Vec<Coord<f64>>],
    bounds: Rect<f64>,
    side: f64,
    pieces: &mut Vec<(f64, Coord<f64>)>,
) {
    if rings.is_empty() {
        return;
    }
    if bounds.width().max(bounds.height()) <= side {
        let (mut area, mut moment) = (0.0, Coord { x: 0.0, y: 0.0 });
        let origin = bounds.min();
        for ring in rings {
            let next = ring.iter().cycle().skip(1);
            for (a, b) in ring.iter().zip(next).map(|(a, b)| (*a - origin, *b - origin)) {
                let turn = a.x * b.y - b.x * a.y;
                area += 0.5 * turn;
                moment = moment + (a + b) * (turn / 6.0);
            }
        }
        if area > LEAST_M2 {
            pieces.push((area, origin + moment / area));
        }
        return;
    }
    for half in if bounds.width() >= bounds.height() { bounds.split_x() } else { bounds.split_y() }
    {
        let (low, high) = (half.min(), half.max());
        let across = bounds.width() >= bounds.height();
        let inside = |at: Coord<f64>| match (across, low == bounds.min()) {
            (true, true) => high.x - at.x,
            (true, false) => at.x - low.x,
            (false, true) => high.y - at.y,
            (false, false) => at.y - low.y,
        };
        let own = rings.iter().map(|ring| cut(ring, inside)).filter(|ring| ring.len() > 2);
        cut_up(&own.collect::<Vec<_>>(), half, side, pieces);
    }
}

/// At most about so many loads in place of many, by squares over all of them.
pub fn fewer(loads: &[Load], most: f64) -> Vec<Load> {
    let places: geo::MultiPoint<f64> = loads.iter().map(|load| load.at).collect();
    let Some(bounds) = places.bounding_rect() else { return Vec::new() };
    let step = (bounds.width() * bounds.height() / most).sqrt().max(f64::MIN_POSITIVE);
    let mut squares: BTreeMap<(u64, u64), (f64, Coord<f64>)> = BTreeMap::new();
    for load in loads {
        let from = (load.at - bounds.min()) / step;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole steps from the south-west corner"
        )]
        let square = squares.entry((from.x as u64, from.y as u64)).or_default();
        *square = (square.0 + load.mass, square.1 + load.at * load.mass);
    }
    let load = |(mass, sum): (f64, Coord<f64>)| Load { at: sum / mass, mass, zone: 0 };
    squares.into_values().map(load).collect()
}

/// The loaded travel from a place to all loads, in kilogram meters.
pub struct Travel<'a>(pub &'a [Load]);

impl Landscape for Travel<'_> {
    fn height(&self, at: Coord<f64>) -> f64 {
        self.0.iter().map(|load| load.mass * apart(load.at, at)).sum()
    }

    /// Travel is convex: no place is below the plane that touches it at the middle.
    fn look(&self, middle: Coord<f64>, half: f64) -> (f64, f64) {
        let (mut height, mut east, mut north) = (0.0, 0.0, 0.0);
        for load in self.0 {
            let way = apart(load.at, middle);
            height += load.mass * way;
            // At the load itself any slope up to its mass will do.
            let pull = if way > 0.0 { load.mass / way } else { 0.0 };
            east += pull * (middle.x - load.at.x);
            north += pull * (middle.y - load.at.y);
        }
        (height, height - half * (east.abs() + north.abs()))
    }

    fn slack(&self, height: f64) -> f64 {
        SLACK * height
    }
}

/// The distance between two places.
pub fn apart(a: Coord<f64>, b: Coord<f64>) -> f64 {
    let way = a - b;
    (way.x * way.x + way.y * way.y).sqrt()
}

#[cfg(test)]
mod tests;
