//! Cuts the mesh at the level lines and joins what is left into connected zones.

use std::collections::BTreeSet;

use geo::Coord;

use super::level::{Classes, Crossings, End};
use super::mesh::Mesh;
use crate::geometry::{Coverage, HalfEdge};

/// The field in pieces of one class each.
#[derive(Debug)]
pub struct Partition {
    /// The pieces.
    pub coverage: Coverage,
    /// The vertices where a level line meets the boundary, each with the corners (vertices too) of
    /// the boundary's edge that it is on.
    pub landings: Vec<(u32, [u32; 2])>,
}

/// Cuts the field into connected pieces of one class each.
///
/// `values` are the surface at the vertices of the mesh, in the mesh's order. Within a triangle the
/// level lines are straight between crossings located on its edges (marching triangles: no
/// ambiguous case, unlike squares). The result's first vertices are the boundary's own, in its
/// order; so its caller can give them back their coordinates to the last digit.
#[must_use]
pub fn partition(mesh: &Mesh, values: &[f64], surface: &impl Classes) -> Partition {
    let end = |vertex: u32| {
        let value = values.get(vertex as usize).copied().unwrap_or(f64::NAN);
        End { vertex, at: mesh.position(vertex), value, class: surface.class(value) }
    };
    let classes: Vec<u32> = values.iter().map(|&value| surface.class(value)).collect();
    let class = |vertex: u32| classes.get(vertex as usize).copied().unwrap_or(0);
    let mixed: Vec<[u32; 3]> = mesh
        .triangles(|[a, b, c, d]| {
            let first = class(*a);
            [b, c, d].into_iter().any(|&other| class(other) != first)
        })
        .filter(|[a, b, c]| class(*a) != class(*b) || class(*b) != class(*c))
        .collect();

    let rising = |a: u32, b: u32| if class(a) < class(b) { [a, b] } else { [b, a] };
    let edges: BTreeSet<[u32; 2]> = mixed
        .iter()
        .flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]])
        .filter(|&[a, b]| class(a) != class(b))
        .map(|[a, b]| rising(a, b))
        .collect();
    let edges: Vec<(End, End)> = edges.into_iter().map(|[a, b]| (end(a), end(b))).collect();
    let crossings = Crossings::locate(&edges, surface);
    let numbers = Numbers { mesh, crossings: &crossings };

    let mut half_edges = Vec::new();
    for triangle in mixed {
        numbers.chords(triangle.map(end), &mut half_edges);
    }
    let mut landings = Vec::new();
    for &[a, b] in &mesh.border {
        let pieces = numbers.border(&end(a), &end(b));
        let edge = mesh.edge_of([a, b]);
        landings.extend(pieces.iter().skip(1).map(|piece| (piece.from, edge)));
        half_edges.extend(pieces);
    }
    Partition { coverage: numbers.coverage(half_edges), landings }
}

/// The vertices of the coverage: the boundary's corners, the points added between them, then the
/// crossings. Samples and nodes of the lattice are on no border.
struct Numbers<'a> {
    mesh: &'a Mesh,
    crossings: &'a Crossings,
}

impl Numbers<'_> {
    fn of_vertex(&self, vertex: u32) -> u32 {
        vertex - u32::try_from(self.mesh.inside.len()).unwrap_or(0)
    }

    fn of_crossing(&self, low: &End, high: &End, class: u32) -> u32 {
        let base = u32::try_from(self.mesh.extras.len()).unwrap_or(0);
        base + self.crossings.on(low, high, class)
    }

    /// The level lines in a triangle, walked from both sides.
    fn chords(&self, triangle: [End; 3], half_edges: &mut Vec<HalfEdge>) {
        let mut sorted = triangle;
        sorted.sort_by_key(|end| end.class);
        let [low, middle, high] = sorted;
        let turn = cross(middle.at - low.at, high.at - low.at);
        for class in low.class..high.class {
            let long = self.of_crossing(&low, &high, class);
            let short = if class < middle.class {
                self.of_crossing(&low, &middle, class)
            } else {
                self.of_crossing(&middle, &high, class)
            };
            // Around low → middle → high counter-clockwise, the lower side is left of short → long.
            let (from, to) = if turn > 0.0 { (short, long) } else { (long, short) };
            half_edges.push(HalfEdge { class, from, to });
            half_edges.push(HalfEdge { class: class + 1, from: to, to: from });
        }
    }

    /// A piece of the boundary, cut where the level lines meet it.
    fn border(&self, a: &End, b: &End) -> Vec<HalfEdge> {
        let mut pieces = Vec::new();
        let mut from = self.of_vertex(a.vertex);
        let mut push = |class, to| {
            pieces.push(HalfEdge { class, from, to });
            from = to;
        };
        if a.class < b.class {
            for class in a.class..b.class {
                push(class, self.of_crossing(a, b, class));
            }
        } else {
            for class in (b.class..a.class).rev() {
                push(class + 1, self.of_crossing(b, a, class));
            }
        }
        push(b.class, self.of_vertex(b.vertex));
        pieces
    }

    /// Joins the half-edges and drops the points that were added along the boundary.
    fn coverage(&self, half_edges: Vec<HalfEdge>) -> Coverage {
        let vertices: Vec<Coord<f64>> =
            self.mesh.extras.iter().chain(&self.crossings.positions).copied().collect();
        let mut coverage = Coverage::from_half_edges(vertices, half_edges);
        let added = self.mesh.corners..self.mesh.extras.len();
        for face in &mut coverage.faces {
            for ring in std::iter::once(&mut face.exterior).chain(&mut face.holes) {
                ring.retain(|&id| !added.contains(&(id as usize)));
            }
        }
        coverage
    }
}

fn cross(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.y - a.y * b.x
}
