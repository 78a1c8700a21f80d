//! Joins zones that are too small to a neighbor.

use std::collections::BTreeMap;

use geo::{Area, Coord};

use super::class::ClassOfGround;
use super::prefer::Prefer;
use crate::geometry::{Coverage, Face};
use crate::units;

/// Joins each face under the least area to a neighbor, the smallest first, until all that
/// have a neighbor are large enough. Areas apart neither join nor are joined.
pub fn merge_small(mut coverage: Coverage, least: units::Area, prefer: Prefer) -> Coverage {
    // A millionth over: on the ellipsoid a zone may be that much smaller than on the plane.
    let least = least.as_square_metres() * (1.0 + 1e-6);
    while let Some(classes) = joined(&coverage, least, prefer) {
        coverage = coverage.dissolved(&classes);
    }
    coverage
}

/// The classes of the faces with small ones given to a neighbor's, of two small ones side by side
/// only the smaller; none if there is nothing to give.
fn joined(coverage: &Coverage, least: f64, prefer: Prefer) -> Option<Vec<u32>> {
    let spread = |face: &Face| ClassOfGround::of(face.class).by_surface();
    let area = |face: &Face| {
        if spread(face) { coverage.plane_polygon(face).unsigned_area() } else { f64::INFINITY }
    };
    let areas: Vec<f64> = coverage.faces.iter().map(area).collect();
    let mut small: Vec<(usize, f64)> =
        areas.iter().copied().enumerate().filter(|(_, area)| *area < least).collect();
    if small.is_empty() {
        return None;
    }
    small.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let mut classes: Vec<u32> = coverage.faces.iter().map(|face| face.class).collect();
    let borders = common_borders(coverage);
    let mut settled = vec![false; classes.len()];
    let mut moved = false;
    for (face, _) in small {
        let Some(around) = borders.get(&face) else { continue };
        if settled.get(face).copied().unwrap_or(true) {
            continue;
        }
        let neighbours = around.iter().filter_map(|(&other, &length)| {
            let class = coverage.faces.get(other).filter(|face| spread(face))?.class;
            Some((other, class, length))
        });
        let rank = |class: u32| match prefer {
            Prefer::Nearest => 0,
            Prefer::Higher => i64::from(class),
            Prefer::Lower => -i64::from(class),
        };
        let chosen = neighbours
            .max_by(|a, b| rank(a.1).cmp(&rank(b.1)).then(a.2.total_cmp(&b.2)).then(b.0.cmp(&a.0)));
        if let (Some((_, class, _)), Some(slot)) = (chosen, classes.get_mut(face)) {
            *slot = class;
            moved = true;
            for touched in around.keys().chain([&face]) {
                if let Some(settled) = settled.get_mut(*touched) {
                    *settled = true;
                }
            }
        }
    }
    moved.then_some(classes)
}

/// The class with the longest common border among those that are spread around a face; none where
/// there is none.
pub(super) fn longest(coverage: &Coverage, around: &BTreeMap<usize, f64>) -> Option<u32> {
    let mut lengths: BTreeMap<u32, f64> = BTreeMap::new();
    for (face, length) in around {
        let face =
            coverage.faces.get(*face).filter(|face| ClassOfGround::of(face.class).by_surface());
        if let Some(face) = face {
            *lengths.entry(face.class).or_default() += length;
        }
    }
    let longest = lengths.into_iter().max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
    longest.map(|(class, _)| class)
}

/// The length of the border between each two faces, in meters.
pub(super) fn common_borders(coverage: &Coverage) -> BTreeMap<usize, BTreeMap<usize, f64>> {
    let mut sides: Vec<([u32; 2], usize)> = Vec::new();
    for (i, face) in coverage.faces.iter().enumerate() {
        sides.extend(face.edges().map(|edge| (edge, i)));
    }
    let mut sorted = sides.clone();
    sorted.sort_unstable();
    let at =
        |id: u32| coverage.vertices.get(id as usize).copied().unwrap_or(Coord { x: 0.0, y: 0.0 });
    let mut borders: BTreeMap<usize, BTreeMap<usize, f64>> = BTreeMap::new();
    // In the order of the faces, so that lengths add up in one order.
    for ([a, b], i) in sides {
        let beyond = sorted.binary_search_by_key(&[b, a], |(side, _)| *side).ok();
        let Some(&(_, other)) = beyond.and_then(|place| sorted.get(place)) else { continue };
        if other < i {
            let along = at(b) - at(a);
            let length = libm::hypot(along.x, along.y);
            *borders.entry(i).or_default().entry(other).or_insert(0.0) += length;
            *borders.entry(other).or_default().entry(i).or_insert(0.0) += length;
        }
    }
    borders
}
