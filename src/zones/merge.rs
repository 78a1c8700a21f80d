//! Gives zones that are too small to a neighbour.

use std::collections::BTreeMap;

use geo::{Area, Coord};

use super::mesh::Mesh;
use super::opening::Prefer;
use crate::geometry::Coverage;
use crate::geometry::scanline::Crossings;

/// Moves each face under `least` square metres to a neighbour's class; none if all are large enough
/// or have no neighbour. Of two small faces side by side only the smaller moves at a time.
pub fn merge_small(
    coverage: &Coverage,
    mesh: &Mesh,
    classes: &[u32],
    least: f64,
    prefer: Prefer,
) -> Option<Vec<u32>> {
    let areas: Vec<f64> =
        coverage.faces.iter().map(|face| coverage.plane_polygon(face).unsigned_area()).collect();
    let borders = common_borders(coverage);
    let mut small: Vec<usize> =
        (0..areas.len()).filter(|&face| areas.get(face).is_some_and(|area| *area < least)).collect();
    small.sort_by(|&a, &b| areas.get(a).partial_cmp(&areas.get(b)).unwrap_or(a.cmp(&b)).then(a.cmp(&b)));
    let class_of = |face: usize| coverage.faces.get(face).map_or(0, |face| face.class);
    let mut next = classes.to_vec();
    let mut settled = vec![false; areas.len()];
    let mut moved = false;
    for face in small {
        let Some(around) = borders.get(&face) else { continue };
        if settled.get(face).copied().unwrap_or(true) {
            continue;
        }
        let length = |face: &usize| around.get(face).copied().unwrap_or(0.0);
        let by_length = |a: &usize, b: &usize| length(a).total_cmp(&length(b)).then(b.cmp(a));
        let chosen = match prefer {
            Prefer::Nearest => around.keys().copied().max_by(by_length),
            Prefer::Higher => around
                .keys()
                .copied()
                .max_by(|a, b| class_of(*a).cmp(&class_of(*b)).then(by_length(a, b))),
            Prefer::Lower => around
                .keys()
                .copied()
                .max_by(|a, b| class_of(*b).cmp(&class_of(*a)).then(by_length(a, b))),
        };
        if let Some(neighbour) = chosen {
            give(coverage, face, class_of(neighbour), mesh, &mut next);
            for touched in around.keys().chain([&face]) {
                if let Some(settled) = settled.get_mut(*touched) {
                    *settled = true;
                }
            }
            moved = true;
        }
    }
    moved.then_some(next)
}

/// The length of the border between each two faces, in metres.
fn common_borders(coverage: &Coverage) -> BTreeMap<usize, BTreeMap<usize, f64>> {
    let mut sides: BTreeMap<[u32; 2], usize> = BTreeMap::new();
    let mut borders: BTreeMap<usize, BTreeMap<usize, f64>> = BTreeMap::new();
    let at = |id: u32| coverage.vertices.get(id as usize).copied().unwrap_or(Coord { x: 0.0, y: 0.0 });
    for (i, face) in coverage.faces.iter().enumerate() {
        for ring in std::iter::once(&face.exterior).chain(&face.holes) {
            for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                if let Some(&other) = sides.get(&[b, a]) {
                    let along = at(b) - at(a);
                    let length = along.x.hypot(along.y);
                    *borders.entry(i).or_default().entry(other).or_insert(0.0) += length;
                    *borders.entry(other).or_default().entry(i).or_insert(0.0) += length;
                }
                sides.insert([a, b], i);
            }
        }
    }
    borders
}

/// Gives the mesh's vertices inside a face another class.
fn give(coverage: &Coverage, face: usize, class: u32, mesh: &Mesh, classes: &mut [u32]) {
    let Some(face) = coverage.faces.get(face) else { return };
    let polygon = coverage.plane_polygon(face);
    let lattice = &mesh.lattice;
    let rings: Vec<&[Coord<f64>]> = std::iter::once(polygon.exterior())
        .chain(polygon.interiors())
        .map(|ring| ring.0.as_slice())
        .collect();
    let rows =
        Crossings::of(rings.iter().copied(), lattice.northing(0), lattice.step(), lattice.rows());
    rows.runs(lattice.easting(0), lattice.step(), lattice.columns(), |row, from, to| {
        let start = row * lattice.columns();
        for slot in classes.get_mut(start + from..start + to).into_iter().flatten() {
            if *slot == face.class {
                *slot = class;
            }
        }
    });
    let first = mesh.inside.len();
    let bounds = geo::BoundingRect::bounding_rect(&polygon);
    for (slot, at) in classes.iter_mut().skip(first).zip(&mesh.extras) {
        let near = bounds.is_some_and(|bounds| geo::Intersects::intersects(&bounds, at));
        if near && *slot == face.class && geo::Intersects::intersects(&polygon, at) {
            *slot = class;
        }
    }
}
