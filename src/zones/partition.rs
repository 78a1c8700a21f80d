//! Cuts the mesh at the level lines and joins what is left into connected zones.

use std::collections::{BTreeSet, HashMap, HashSet};

use geo::Coord;

use super::class::{APART, class_at};
use super::islands::Joined;
use super::level::{BetweenClasses, Classes, Edge, EdgeEnd, LevelCrossings};
use super::mesh::Mesh;
use super::rim::Border;
use crate::geometry::{Coverage, Face, HalfEdge};

/// The field in pieces of one class each.
#[derive(Debug)]
pub struct Partition {
    /// The pieces.
    pub coverage: Coverage,
    /// The vertex of each of the boundary's positions, in its order (the first position of each ring
    /// not repeated).
    pub corners: Vec<u32>,
    /// The vertices on an edge of the boundary or of an area apart, each with the ends (vertices too) of
    /// that edge; an end comes before what is between.
    pub landings: Vec<(u32, [u32; 2])>,
    /// The islands that joined what is around them.
    pub islands: Joined,
    /// Where the level lines cross the mesh; none where no mesh was cut.
    pub(super) crossings: Option<LevelCrossings>,
}

impl Partition {
    /// Pieces of which it is not known any more where they come from.
    pub(crate) fn of(coverage: Coverage) -> Self {
        Self {
            coverage,
            corners: Vec::new(),
            landings: Vec::new(),
            islands: Joined::default(),
            crossings: None,
        }
    }

    /// The vertices that a piece has in its rings, or that are on an edge of the boundary or of a
    /// area apart, in order: the clean-up leaves many others behind.
    #[must_use]
    pub fn used_vertices(&self) -> Vec<u32> {
        let rings = self.coverage.faces.iter().flat_map(Face::edges).map(|[from, _]| from);
        let landed = self.landings.iter().flat_map(|(id, [a, b])| [*id, *a, *b]);
        let mut used: Vec<u32> = rings.chain(landed).collect();
        used.sort_unstable();
        used.dedup();
        used.retain(|id| (*id as usize) < self.coverage.vertices.len());
        used
    }

    /// Takes out the vertices, after the `named` ones, that a straight line runs through.
    pub(super) fn drop_straight(&mut self, named: usize) {
        // A tenth of a millimeter: what a vertex between two corners is off by is far less.
        const STRAIGHT: f64 = 1e-4;
        let Coverage { faces, vertices } = &mut self.coverage;
        let mut around: HashMap<u32, BTreeSet<u32>> = HashMap::new();
        for [a, b] in faces.iter().flat_map(Face::edges) {
            around.entry(a).or_default().insert(b);
            around.entry(b).or_default().insert(a);
        }
        let at = |id: u32| vertices.get(id as usize).copied().unwrap_or_default();
        let is_straight = |id: u32| {
            let ends: Vec<u32> = around.get(&id).into_iter().flatten().copied().collect();
            let [a, b] = ends[..] else { return false };
            let line = at(b) - at(a);
            cross(at(id) - at(a), line).abs() <= STRAIGHT * libm::hypot(line.x, line.y)
        };
        let straight: HashSet<u32> =
            around.keys().copied().filter(|&id| id as usize >= named && is_straight(id)).collect();
        for face in faces {
            face.retain(|id| !straight.contains(&id));
        }
        self.landings.retain(|(id, _)| !straight.contains(id));
    }
}

/// Cuts the field into connected pieces of one class each.
///
/// `values` are the surface at the vertices of the mesh, in the mesh's order, and `classes` the
/// classes given to them. Within a triangle borders are straight between crossings located on its
/// edges (marching triangles: no ambiguous case, unlike squares); where three classes meet with one
/// border each, they meet in the middle of the triangle. The result's first vertices are the
/// boundary's own, in its order; so its caller can give them back their coordinates. Areas apart are
/// pieces of their own.
#[must_use]
pub fn partition(
    mesh: &Mesh,
    values: &[f64],
    classes: &[u32],
    between: BetweenClasses,
    surface: &impl Classes,
) -> Partition {
    cut(mesh, values, classes, between, surface, None)
}

/// [`partition`], where another partition of the same mesh and surface saves to locate crossings
/// again.
pub(super) fn cut(
    mesh: &Mesh,
    values: &[f64],
    classes: &[u32],
    between: BetweenClasses,
    surface: &impl Classes,
    other: Option<&Partition>,
) -> Partition {
    let vertices = mesh.inside.len() + mesh.rim.extras.len();
    debug_assert_eq!(
        [values.len(), classes.len()],
        [vertices; 2],
        "each vertex has a value and a class"
    );
    let class = |vertex: u32| class_at(classes, vertex as usize);
    let end = |vertex: u32| {
        let value = values.get(vertex as usize).copied().unwrap_or(f64::NAN);
        EdgeEnd { vertex, at: mesh.position(vertex), value, class: class(vertex) }
    };
    let mixed: Vec<[u32; 3]> = mesh
        .triangles(|[a, b, c, d]| {
            let first = class(*a);
            [b, c, d].into_iter().any(|&other| class(other) != first)
        })
        .filter(|[a, b, c]| class(*a) != class(*b) || class(*b) != class(*c))
        .collect();

    let rising = |a: u32, b: u32| if class(a) < class(b) { [a, b] } else { [b, a] };
    let mut edges: Vec<[u32; 2]> = mixed
        .iter()
        .flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]])
        .filter(|&[a, b]| class(a) != class(b))
        .map(|[a, b]| rising(a, b))
        .collect();
    edges.sort_unstable();
    edges.dedup();
    let edges = edges.into_iter().map(|[a, b]| Edge { low: end(a), high: end(b) }).collect();
    let located = other.and_then(|other| other.crossings.as_ref());
    let crossings = LevelCrossings::locate(edges, between, surface, located);
    let mut builder = Builder {
        mesh,
        crossings: &crossings,
        between,
        junctions: Vec::new(),
        half_edges: Vec::new(),
    };
    for triangle in mixed {
        builder.triangle(triangle.map(end));
    }
    let mut landings = mesh.rim.landings.clone();
    for &Border { ends: [a, b], edge, area_apart } in &mesh.rim.borders.spread {
        let pieces = builder.border(&end(a), &end(b));
        landings.extend(pieces.iter().skip(1).map(|piece| (piece.from, edge)));
        if let Some(area_apart) = area_apart {
            let class = APART + area_apart;
            let beyond = |piece: &HalfEdge| HalfEdge { class, from: piece.to, to: piece.from };
            builder.half_edges.extend(pieces.iter().map(beyond));
        }
        builder.half_edges.extend(pieces);
    }
    for &(area_apart, ends) in &mesh.rim.borders.area_apart {
        let [from, to] = ends.map(|id| builder.of_vertex(id));
        builder.half_edges.push(HalfEdge { class: APART + area_apart, from, to });
    }
    let coverage = builder.coverage();
    let corners = mesh.corner_vertices().filter_map(|id| u32::try_from(id).ok()).collect();
    Partition {
        coverage,
        corners,
        landings,
        islands: Joined::default(),
        crossings: Some(crossings),
    }
}

/// Collects borders. The vertices of the coverage are the boundary's corners, the areas apart's
/// own, the points added between them, the crossings, then the points where three classes meet. Samples and nodes of the
/// lattice are on no border.
struct Builder<'a> {
    mesh: &'a Mesh,
    crossings: &'a LevelCrossings,
    between: BetweenClasses,
    junctions: Vec<Coord<f64>>,
    half_edges: Vec<HalfEdge>,
}

impl Builder<'_> {
    fn of_vertex(&self, vertex: u32) -> u32 {
        vertex - u32::try_from(self.mesh.inside.len()).unwrap_or(0)
    }

    fn of_crossing(&self, crossing: u32) -> u32 {
        u32::try_from(self.mesh.rim.extras.len()).unwrap_or(0) + crossing
    }

    /// The borders in a triangle, walked from both sides.
    fn triangle(&mut self, triangle: [EdgeEnd; 3]) {
        let mut sorted = triangle;
        sorted.sort_by_key(|end| end.class);
        let [low, middle, high] = sorted;
        let counter_clockwise = cross(middle.at - low.at, high.at - low.at) > 0.0;
        let crossings = self.crossings;
        if self.between == BetweenClasses::OneBorder
            && low.class < middle.class
            && middle.class < high.class
        {
            return self.junction([low, middle, high], counter_clockwise);
        }
        let short = crossings.on(&low, &middle).chain(crossings.on(&middle, &high));
        for ((below, above, long), (_, _, short)) in crossings.on(&low, &high).zip(short) {
            let (long, short) = (self.of_crossing(long), self.of_crossing(short));
            // Around low → middle → high counter-clockwise, the lower side is left of short → long.
            let [from, to] = if counter_clockwise { [short, long] } else { [long, short] };
            self.both_sides([below, above], from, to);
        }
    }

    /// Three classes in a triangle with one border between each two: they meet in a point.
    fn junction(&mut self, ends: [EdgeEnd; 3], counter_clockwise: bool) {
        let [low, middle, high] = ends;
        let base =
            self.mesh.rim.extras.len() + self.crossings.positions.len() + self.junctions.len();
        let centre = u32::try_from(base).unwrap_or(u32::MAX);
        let mut sum = Coord { x: 0.0, y: 0.0 };
        for (a, b) in [(low, middle), (middle, high), (low, high)] {
            for (below, above, crossing) in self.crossings.on(&a, &b) {
                sum = sum + self.crossings.positions.get(crossing as usize).copied().unwrap_or(sum);
                // Between low and high the turn around the triangle is the other way.
                let inwards = counter_clockwise != (a.class == low.class && b.class == high.class);
                let at = self.of_crossing(crossing);
                let [from, to] = if inwards { [at, centre] } else { [centre, at] };
                self.both_sides([below, above], from, to);
            }
        }
        self.junctions.push(sum / 3.0);
    }

    /// A border with the first class on the left of `from` → `to` and the second on the right.
    fn both_sides(&mut self, [left, right]: [u32; 2], from: u32, to: u32) {
        self.half_edges.push(HalfEdge { class: left, from, to });
        self.half_edges.push(HalfEdge { class: right, from: to, to: from });
    }

    /// A piece of the boundary, cut where borders meet it.
    fn border(&self, a: &EdgeEnd, b: &EdgeEnd) -> Vec<HalfEdge> {
        let mut pieces = Vec::new();
        let mut from = self.of_vertex(a.vertex);
        let mut push = |class, to| {
            pieces.push(HalfEdge { class, from, to });
            from = to;
        };
        if a.class < b.class {
            for (below, _, crossing) in self.crossings.on(a, b) {
                push(below, self.of_crossing(crossing));
            }
        } else {
            for (_, above, crossing) in self.crossings.on(b, a).rev() {
                push(above, self.of_crossing(crossing));
            }
        }
        push(b.class, self.of_vertex(b.vertex));
        pieces
    }

    /// Joins the half-edges and drops the points that were added along the boundary.
    fn coverage(self) -> Coverage {
        let (mesh, crossings) = (self.mesh, self.crossings);
        let vertices: Vec<Coord<f64>> = mesh
            .rim
            .extras
            .iter()
            .chain(&crossings.positions)
            .chain(&self.junctions)
            .copied()
            .collect();
        let mut coverage = Coverage::from_half_edges(vertices, self.half_edges);
        let added = mesh.rim.named..mesh.rim.extras.len();
        for face in &mut coverage.faces {
            face.retain(|id| !added.contains(&(id as usize)));
        }
        coverage
    }
}

fn cross(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.y - a.y * b.x
}
