//! Whether a polygon is one that every reader takes as it is meant.

use std::collections::BTreeSet;

use geo::coordinate_position::CoordPos;
use geo::dimensions::Dimensions;
use geo::{BoundingRect, Contains, Coord, Intersects, Line, LineString, Polygon, Relate, Winding};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

/// Whether a polygon is valid as OGC Simple Features has it: its rings are finite, have three
/// corners, and neither cross nor touch themselves; holes lie inside the outer ring and outside each
/// other, and rings touch in points at most.
///
/// The answer of geo's `Validation`, which compares each edge with every other one, in n log n.
#[must_use]
pub fn is_sound(polygon: &Polygon<f64>) -> bool {
    let rings: Vec<&LineString<f64>> =
        std::iter::once(polygon.exterior()).chain(polygon.interiors()).collect();
    let whole = |ring: &&LineString<f64>| {
        has_three_corners(ring) && ring.0.iter().all(|at| at.x.is_finite() && at.y.is_finite())
    };
    if !rings.iter().all(whole) {
        return false;
    }
    let Some(touching) = touching_rings(&rings) else { return false };
    let outlines: Vec<Polygon<f64>> =
        rings.iter().map(|ring| Polygon::new((*ring).clone(), Vec::new())).collect();
    let Some((outer, holes)) = outlines.split_first() else { return true };
    let touches = |one: usize, other: usize| touching.contains(&(one, other));
    let within = |(hole, number)| lies_inside(hole, outer, touches(0, number));
    let boxes = holes.iter().enumerate().filter_map(|(number, hole)| {
        let bounds = hole.bounding_rect()?;
        let corners = Rectangle::from_corners(bounds.min().into(), bounds.max().into());
        Some(GeomWithData::new(corners, number))
    });
    let boxes: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>> = RTree::bulk_load(boxes.collect());
    let apart = |one: usize, other: usize| match (holes.get(one), holes.get(other)) {
        (Some(a), Some(b)) => lie_apart(a, b, touches(one + 1, other + 1)),
        _ => true,
    };
    holes.iter().zip(1..).all(within)
        && boxes
            .intersection_candidates_with_other_tree(&boxes)
            .all(|(one, other)| one.data >= other.data || apart(one.data, other.data))
}

/// Whether the outer ring runs counter-clockwise and the holes clockwise; exact.
#[must_use]
pub fn is_right_way_round(polygon: &Polygon<f64>) -> bool {
    polygon.exterior().is_ccw() && polygon.interiors().iter().all(Winding::is_cw)
}

fn has_three_corners(ring: &LineString<f64>) -> bool {
    let mut corners: Vec<Coord<f64>> = Vec::new();
    for at in &ring.0 {
        if corners.len() < 3 && !corners.contains(at) {
            corners.push(*at);
        }
    }
    corners.len() == 3
}

/// The pairs of rings that meet somewhere, the lower number first; none at all when a ring meets
/// itself.
fn touching_rings(rings: &[&LineString<f64>]) -> Option<BTreeSet<(usize, usize)>> {
    let edges = rings.iter().enumerate().flat_map(|(number, ring)| {
        ring.lines().enumerate().map(move |place| GeomWithData::new(place.1, (number, place.0)))
    });
    let tree: RTree<GeomWithData<Line<f64>, (usize, usize)>> = RTree::bulk_load(edges.collect());
    let mut touching = BTreeSet::new();
    for (one, other) in tree.intersection_candidates_with_other_tree(&tree) {
        let (a, b) = (one.geom(), other.geom());
        if one.data >= other.data {
            continue;
        }
        if one.data.0 != other.data.0 {
            if a.intersects(b) {
                touching.insert((one.data.0, other.data.0));
            }
        } else if a.start != b.end && a.end != b.start && a.intersects(b) {
            return None;
        }
    }
    Some(touching)
}

/// Whether a hole lies inside an outline and touches it in points at most.
fn lies_inside(hole: &Polygon<f64>, outline: &Polygon<f64>, touches: bool) -> bool {
    if !touches {
        return hole.exterior().0.first().is_some_and(|at| outline.contains(at));
    }
    let relation = outline.relate(hole);
    relation.is_contains()
        && relation.get(CoordPos::OnBoundary, CoordPos::OnBoundary) != Dimensions::OneDimensional
}

/// Whether two holes have no area in common and touch in points at most.
fn lie_apart(one: &Polygon<f64>, other: &Polygon<f64>, touches: bool) -> bool {
    if !touches {
        let around = |outer: &Polygon<f64>, inner: &Polygon<f64>| {
            inner.exterior().0.first().is_some_and(|at| outer.contains(at))
        };
        return !around(one, other) && !around(other, one);
    }
    let relation = one.relate(other);
    relation.get(CoordPos::Inside, CoordPos::Inside) != Dimensions::TwoDimensional
        && relation.get(CoordPos::OnBoundary, CoordPos::OnBoundary) != Dimensions::OneDimensional
}

#[cfg(test)]
mod tests {
    use geo::{Validation, polygon};

    use super::*;

    fn square(x: f64, y: f64, side: f64) -> LineString<f64> {
        let corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)];
        corners.to_vec().into()
    }

    fn with_holes(holes: &[LineString<f64>]) -> Polygon<f64> {
        Polygon::new(square(0.0, 0.0, 10.0), holes.to_vec())
    }

    /// Every way to be unsound, and near ways to be sound: geo's `Validation` has the same answer.
    #[test]
    fn it_is_what_geo_says() {
        let bow = polygon![(x: 0.0, y: 0.0), (x: 4.0, y: 4.0), (x: 4.0, y: 0.0), (x: 0.0, y: 4.0)];
        let pinched = polygon![
            (x: 0.0, y: 0.0), (x: 8.0, y: 0.0), (x: 4.0, y: 4.0),
            (x: 8.0, y: 8.0), (x: 0.0, y: 8.0), (x: 4.0, y: 4.0),
        ];
        let flat = polygon![(x: 0.0, y: 0.0), (x: 1.0, y: 1.0), (x: 0.0, y: 0.0)];
        let nan = polygon![(x: 0.0, y: 0.0), (x: f64::NAN, y: 1.0), (x: 1.0, y: 0.0)];
        let diamond: LineString<f64> =
            vec![(0.0, 5.0), (2.0, 4.0), (4.0, 5.0), (2.0, 6.0), (0.0, 5.0)].into();
        let cases = [
            (true, with_holes(&[])),
            (true, with_holes(&[square(1.0, 1.0, 2.0), square(5.0, 5.0, 3.0)])),
            (true, with_holes(&[square(1.0, 1.0, 2.0), square(3.0, 3.0, 3.0)])),
            (true, with_holes(std::slice::from_ref(&diamond))),
            (true, with_holes(&[diamond, square(4.0, 5.0, 1.0)])),
            (false, with_holes(&[square(1.0, 1.0, 2.0), square(3.0, 2.0, 3.0)])),
            (false, with_holes(&[square(1.0, 1.0, 5.0), square(2.0, 2.0, 2.0)])),
            (false, with_holes(&[square(2.0, 2.0, 2.0), square(1.0, 1.0, 5.0)])),
            (false, with_holes(&[square(1.0, 1.0, 5.0), square(4.0, 4.0, 5.0)])),
            (false, with_holes(&[square(1.0, 1.0, 5.0), square(1.0, 1.0, 5.0)])),
            (false, with_holes(&[square(0.0, 1.0, 2.0)])),
            (false, with_holes(&[square(8.0, 1.0, 5.0)])),
            (false, with_holes(&[square(20.0, 1.0, 5.0)])),
            (false, with_holes(&[square(-5.0, -5.0, 20.0)])),
            (false, bow),
            (false, pinched),
            (false, flat),
            (false, nan),
        ];
        for (number, (sound, polygon)) in cases.iter().enumerate() {
            assert_eq!(polygon.is_valid(), *sound, "case {number}: geo");
            assert_eq!(is_sound(polygon), *sound, "case {number}");
        }
    }
}
