//! What is to be spread where, as loads at places.

use std::collections::BTreeMap;

use geo::{Area as _, BoundingRect, Coord, InteriorPoint, LineString, MultiPolygon, Polygon};

use super::search::Landscape;
use crate::geometry::scanline::Crossings;
use crate::units::Mass;

/// Nodes that stand for a field; each zone's material is shared evenly among its nodes.
const NODES: f64 = 40_000.0;
/// Nodes a side that make one load, which lies in their middle.
const TOGETHER: usize = 3;
/// How much more loaded travel than the least is taken for the least, as a share: under the
/// ten-thousandth that the loads themselves are sure to.
const SLACK: f64 = 5e-5;

/// Material for a small piece of one zone.
#[derive(Clone, Copy, Debug)]
pub struct Load {
    /// Where it goes, in metres.
    pub at: Coord<f64>,
    /// Kilograms.
    pub mass: f64,
    /// The zone, counted from 0 in the order given.
    pub zone: usize,
}

/// The loads of zones in metres. Their masses are the zones' own. The travel to a place comes out
/// within 1e-4 of that over the whole zones: a load's own extent s adds s²/24d² to its way d.
pub fn loads(zones: &[(Polygon<f64>, Mass)]) -> Vec<Load> {
    let field: MultiPolygon<f64> = zones.iter().map(|(polygon, _)| polygon.clone()).collect();
    let Some(bounds) = field.bounding_rect() else { return Vec::new() };
    let step = (field.unsigned_area() / NODES).sqrt();
    let first = bounds.min() + Coord { x: 0.5 * step, y: 0.5 * step };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a field's extent over its step"
    )]
    let count = |extent: f64| (extent / step).ceil() as usize + 1;
    let (columns, rows) = (count(bounds.width()), count(bounds.height()));
    let mut loads = Vec::new();
    for (zone, (polygon, mass)) in zones.iter().enumerate() {
        let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        let rings: Vec<&[Coord<f64>]> = rings.map(|ring: &LineString<f64>| &ring.0[..]).collect();
        let crossings = Crossings::of(rings.iter().copied(), first.y, step, rows);
        let mut pieces: BTreeMap<(usize, usize), (f64, Coord<f64>)> = BTreeMap::new();
        let mut nodes = 0.0;
        crossings.runs(first.x, step, columns, |row, from, to| {
            for column in from..to {
                let at = first + Coord { x: column as f64, y: row as f64 } * step;
                let piece = pieces.entry((row / TOGETHER, column / TOGETHER)).or_default();
                *piece = (piece.0 + 1.0, piece.1 + at);
                nodes += 1.0;
            }
        });
        let mass = mass.as_kilograms();
        if pieces.is_empty() {
            // A zone that lies between the nodes.
            let inner = polygon.interior_point().map(|at| Load { at: at.0, mass, zone });
            loads.extend(inner);
        }
        loads.extend(pieces.into_values().map(|(count, sum)| Load {
            at: sum / count,
            mass: mass * count / nodes,
            zone,
        }));
    }
    loads.retain(|load| load.mass > 0.0);
    loads
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

/// The loaded travel from a place to all loads, in kilogram metres.
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
