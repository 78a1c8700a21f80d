//! How much of a zone the points of a record speak for.

use std::iter::once;

use geo::{BoundingRect, Coord, MultiPolygon};
use rstar::RTree;

use crate::geometry::scanline::Crossings;

/// How far from a point of the record ground counts as recorded, in meters: half of the widest
/// swaths, 100 ft, and half the way between two points, 8 s at 6 mph (common practice, no source).
const REACH: f64 = 20.0;
/// The spacing of the places that are asked, in meters: a quarter of the reach.
const STEP: f64 = 5.0;
/// The most places of a zone; a larger one is asked at places farther apart.
const MOST: f64 = 4e6;

/// The share of a zone, in meters, that lies within reach of a point: of a lattice of places in it.
/// A zone so slim that it has none of them is recorded where it has a point at all.
pub(super) fn share_in_reach(zone: &MultiPolygon<f64>, points: &RTree<[f64; 2]>) -> f64 {
    let Some(bounds) = zone.bounding_rect() else { return 0.0 };
    let rings = zone.0.iter().flat_map(|part| once(part.exterior()).chain(part.interiors()));
    let rings = rings.map(|ring| ring.0.as_slice());
    let Coord { x: west, y: south } = bounds.min();
    let step = STEP.max((bounds.width() * bounds.height() / MOST).sqrt());
    let [columns, rows] = [bounds.width(), bounds.height()].map(|side| count(side / step));
    let (mut all, mut reached) = (0_u32, 0_u32);
    Crossings::of(rings, south, step, rows).runs(west, step, columns, |row, first, end| {
        for column in first..end {
            let at = [west + column as f64 * step, south + row as f64 * step];
            all += 1;
            let near = points.locate_within_distance(at, REACH * REACH).next().is_some();
            reached += u32::from(near);
        }
    });
    if all == 0 { 1.0 } else { f64::from(reached) / f64::from(all) }
}

/// How many places so many steps have.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places have a bound, and a length is not below 0"
)]
fn count(steps: f64) -> usize {
    steps as usize + 2
}

#[cfg(test)]
mod tests {
    use geo::Rect;

    use super::*;

    /// A point at the middle of one end of a strip of 10 by 100 m reaches 20 m along it, a little
    /// less at its sides: of 10 by 20 m some 196; one in its middle reaches twice as far.
    #[test]
    fn a_strip_by_hand() {
        let strip = Rect::new((0.0, 0.0), (100.0, 10.0)).to_polygon();
        let share = |points: Vec<[f64; 2]>| {
            share_in_reach(&MultiPolygon(vec![strip.clone()]), &RTree::bulk_load(points))
        };
        assert!((share(vec![[0.0, 5.0]]) - 0.196).abs() < 0.05);
        assert!((share(vec![[50.0, 5.0]]) - 0.392).abs() < 0.05);
        assert!((share((0..10).map(|i| [f64::from(i) * 10.0, 5.0]).collect()) - 1.0).abs() < 1e-12);
        assert!(share(vec![]).abs() < 1e-12);
    }
}
