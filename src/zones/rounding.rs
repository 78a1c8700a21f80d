//! Pieces whose vertices were rounded to the grid of written positions, made whole again.
//!
//! Rounding moves a vertex by up to half a step of the grid, and so can fold what is thinner than that
//! over itself: a tip, a sliver between an area apart and the boundary. Here the edges are made to meet in
//! grid points alone (snap rounding: Hobby 1999, *Practical segment intersection with finite precision
//! output*, Computational Geometry 13:199, repeated until nothing moves: Halperin and Packer 2002,
//! *Iterated snap rounding*, 23:209); then each triangle between them goes to the piece that winds
//! around it. What has closed up has no triangle left and is gone.

use std::collections::{BTreeMap, BTreeSet};

use geo::Coord;
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree};
use spade::handles::{DirectedEdgeHandle, VertexHandle};
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use crate::geometry::{Coverage, Face, HalfEdge};

/// More rounds than any input has been seen to take by ten.
const MOST_ROUNDS: usize = 30;

/// A point of the grid, in steps from some origin.
pub type GridPoint = [i64; 2];

/// Pieces with vertices on the grid.
pub struct Settled {
    /// The grid points of the vertices.
    pub points: Vec<GridPoint>,
    /// The pieces; their vertices are grid points in steps.
    pub coverage: Coverage,
    /// How many pieces have closed up.
    pub lost: usize,
}

/// Makes pieces whole that share their vertices; `point` is where each of these was rounded to. None
/// where that cannot be done.
pub fn settled(faces: &[Face], point: impl Fn(u32) -> GridPoint) -> Option<Settled> {
    let mut net = Net::default();
    for (number, face) in faces.iter().enumerate() {
        for ends in face.edges() {
            let [a, b] = ends.map(|id| net.id(point(id)));
            net.add([a, b], &BTreeMap::from([(number, 1)]));
        }
    }
    for _ in 0..MOST_ROUNDS {
        if !net.node() {
            return net.pieces(faces);
        }
    }
    None
}

/// For each piece how often an edge is walked with the piece on its left, less how often the other way.
type Counts = BTreeMap<usize, i32>;

#[derive(Default)]
struct Net {
    points: Vec<GridPoint>,
    ids: BTreeMap<GridPoint, u32>,
    /// Edges by their vertices, the lower first.
    edges: BTreeMap<[u32; 2], Counts>,
}

impl Net {
    fn id(&mut self, point: GridPoint) -> u32 {
        let next = u32::try_from(self.points.len()).unwrap_or(u32::MAX);
        *self.ids.entry(point).or_insert_with(|| {
            self.points.push(point);
            next
        })
    }

    fn at(&self, id: u32) -> GridPoint {
        self.points.get(id as usize).copied().unwrap_or_default()
    }

    fn place(&self, id: u32) -> [f64; 2] {
        // Steps within a field are far below 2^52.
        #[expect(clippy::cast_precision_loss, reason = "see above")]
        self.at(id).map(|steps| steps as f64)
    }

    /// Adds an edge from one vertex to another; what is walked both ways by one piece is gone.
    fn add(&mut self, [a, b]: [u32; 2], counts: &Counts) {
        if a == b {
            return;
        }
        let sign = if a < b { 1 } else { -1 };
        let known = self.edges.entry([a.min(b), a.max(b)]).or_default();
        for (face, count) in counts {
            *known.entry(*face).or_default() += sign * count;
        }
        known.retain(|_, count| *count != 0);
        if known.is_empty() {
            self.edges.remove(&[a.min(b), a.max(b)]);
        }
    }

    /// Leads every edge through the grid points that it runs through or crosses another at; whether
    /// there were any.
    fn node(&mut self) -> bool {
        let mut stops = self.crossings();
        let ends: BTreeSet<u32> =
            self.edges.keys().flatten().chain(stops.values().flatten()).copied().collect();
        let points = ends.iter().map(|&id| GeomWithData::new(self.place(id), id));
        let points = RTree::bulk_load(points.collect());
        for &[a, b] in self.edges.keys() {
            let (from, to) = (self.place(a), self.place(b));
            let near = points.locate_in_envelope(&AABB::from_corners(from, to));
            let through = near.map(|point| point.data).filter(|&id| {
                id != a && id != b && runs_through([a, b].map(|e| self.at(e)), self.at(id))
            });
            let through: BTreeSet<u32> = through.collect();
            if !through.is_empty() {
                stops.entry([a, b]).or_default().extend(through);
            }
        }
        for (ends, between) in &stops {
            let Some(counts) = self.edges.remove(ends) else { continue };
            let [from, to] = ends.map(|id| self.at(id));
            let mut between: Vec<u32> = between.iter().copied().collect();
            between.sort_by_key(|&id| (along(from, to, self.at(id)), id));
            let [a, b] = *ends;
            let chain = [&[a][..], &between, &[b]].concat();
            for pair in chain.windows(2) {
                if let &[a, b] = pair {
                    self.add([a, b], &counts);
                }
            }
        }
        !stops.is_empty()
    }

    /// The grid points nearest to where edges cross, by edge.
    fn crossings(&mut self) -> BTreeMap<[u32; 2], BTreeSet<u32>> {
        let edge = |ends: &[u32; 2]| {
            let [from, to] = ends.map(|id| self.place(id));
            GeomWithData::new(Line::new(from, to), *ends)
        };
        let tree = RTree::bulk_load(self.edges.keys().map(edge).collect());
        let pairs = tree.intersection_candidates_with_other_tree(&tree);
        let pairs = pairs.map(|(one, other)| (one.data, other.data));
        let mut pairs: Vec<_> = pairs.filter(|(one, other)| one < other).collect();
        pairs.sort_unstable();
        let mut stops: BTreeMap<_, BTreeSet<u32>> = BTreeMap::new();
        for (one, other) in pairs {
            let [a, b] = [one, other].map(|ends| ends.map(|id| self.at(id)));
            let Some(crossing) = crossing(a, b) else { continue };
            let id = self.id(crossing);
            for ends in [one, other] {
                // Where the nearest point is an end of one, only the other is led through it.
                if !ends.contains(&id) {
                    stops.entry(ends).or_default().insert(id);
                }
            }
        }
        stops
    }

    /// The pieces between edges that meet in vertices alone.
    fn pieces(self, faces: &[Face]) -> Option<Settled> {
        let used: BTreeSet<u32> = self.edges.keys().flatten().copied().collect();
        let vertices: Vec<u32> = used.into_iter().collect();
        let index = |id: &u32| vertices.binary_search(id).ok();
        let points = vertices.iter().map(|&id| Point2::from(self.place(id))).collect();
        let edges = self.edges.keys().filter_map(|[a, b]| Some([index(a)?, index(b)?])).collect();
        let mut crossed = false;
        let mesh = ConstrainedDelaunayTriangulation::<Point2<f64>>::try_bulk_load_cdt(
            points,
            edges,
            |_| crossed = true,
        );
        let mesh = mesh.ok().filter(|_| !crossed)?;
        let vertex = |handle: VertexHandle<'_, _, _, _, _>| {
            vertices.get(handle.index()).copied().unwrap_or(u32::MAX)
        };
        let ends =
            |edge: DirectedEdgeHandle<'_, _, _, _, _>| [vertex(edge.from()), vertex(edge.to())];
        let counts = |[a, b]: [u32; 2]| self.edges.get(&[a.min(b), a.max(b)]);

        // How often each piece winds around each triangle, from the outside inwards.
        let mut windings: Vec<Option<Counts>> = vec![None; mesh.num_all_faces()];
        if let Some(outside) = windings.get_mut(mesh.outer_face().index()) {
            *outside = Some(Counts::new());
        }
        let mut queue: Vec<_> = mesh.convex_hull().flat_map(|edge| [edge, edge.rev()]).collect();
        while let Some(edge) = queue.pop() {
            let (here, there) = (edge.face().index(), edge.rev().face().index());
            let Some(Some(known)) = windings.get(here) else { continue };
            if windings.get(there).is_none_or(Option::is_some) {
                continue;
            }
            let mut beyond = known.clone();
            let [a, b] = ends(edge);
            for (face, count) in counts([a, b]).into_iter().flatten() {
                *beyond.entry(*face).or_default() -= if a < b { *count } else { -count };
            }
            beyond.retain(|_, count| *count != 0);
            if let Some(slot) = windings.get_mut(there) {
                *slot = Some(beyond);
            }
            queue.extend(
                edge.rev().face().as_inner().into_iter().flat_map(|face| face.adjacent_edges()),
            );
        }
        let owners: Vec<Option<usize>> =
            windings.iter().map(|counts| counts.as_ref().and_then(owner)).collect();
        let owner = |face: usize| owners.get(face).copied().flatten();
        let class =
            |face: usize| owner(face).and_then(|face| faces.get(face)).map(|face| face.class);
        let mut half_edges = Vec::new();
        for face in mesh.inner_faces() {
            let Some(own) = class(face.index()) else { continue };
            for edge in face.adjacent_edges() {
                if class(edge.rev().face().index()) != Some(own) {
                    let [from, to] = ends(edge);
                    half_edges.push(HalfEdge { class: own, from, to });
                }
            }
        }
        let left: BTreeSet<usize> =
            mesh.inner_faces().filter_map(|face| owner(face.index())).collect();
        let places = (0..self.points.len()).filter_map(|id| u32::try_from(id).ok());
        let places = places.map(|id| Coord::from(self.place(id))).collect();
        let coverage = Coverage::from_half_edges(places, half_edges);
        Some(Settled { points: self.points, coverage, lost: faces.len() - left.len() })
    }
}

/// The piece that a triangle goes to: the one that winds around it, where the field does. Of several,
/// where they are folded over each other, the last: areas apart come after what is spread.
fn owner(windings: &Counts) -> Option<usize> {
    let in_field = windings.values().sum::<i32>() > 0;
    let around = windings.iter().filter(|(_, count)| in_field && **count > 0);
    around.map(|(face, _)| *face).next_back()
}

fn cross(origin: GridPoint, a: GridPoint, b: GridPoint) -> i128 {
    let from = |[x, y]: GridPoint| {
        [i128::from(x) - i128::from(origin[0]), i128::from(y) - i128::from(origin[1])]
    };
    let ([ax, ay], [bx, by]) = (from(a), from(b));
    ax * by - ay * bx
}

/// How far along an edge a point is, in no unit.
fn along(from: GridPoint, to: GridPoint, at: GridPoint) -> i128 {
    let way = |axis: usize| {
        let [from, to, at] =
            [from, to, at].map(|point| point.get(axis).copied().map_or(0, i128::from));
        (to - from) * (at - from)
    };
    way(0) + way(1)
}

/// Whether an edge runs through the square of one step around a grid point that is in the box around
/// the edge.
fn runs_through([a, b]: [GridPoint; 2], at: GridPoint) -> bool {
    let reach = i128::from(a[0].abs_diff(b[0])) + i128::from(a[1].abs_diff(b[1]));
    2 * cross(a, b, at).abs() < reach
}

/// The grid point nearest to where two edges cross, each at a place between its ends.
fn crossing([a, b]: [GridPoint; 2], [c, d]: [GridPoint; 2]) -> Option<GridPoint> {
    let (from, to) = (cross(c, d, a), cross(c, d, b));
    let (one, other) = (cross(a, b, c), cross(a, b, d));
    if from.signum() * to.signum() >= 0 || one.signum() * other.signum() >= 0 {
        return None;
    }
    let share = |axis: usize| {
        let [a, b] = [a, b].map(|point| point.get(axis).copied().map_or(0, i128::from));
        // Half up: the same for the same place.
        let (over, under) = ((b - a) * from, from - to);
        let (over, under) = if under < 0 { (-over, -under) } else { (over, under) };
        i64::try_from(a + (2 * over + under).div_euclid(2 * under)).ok()
    };
    Some([share(0)?, share(1)?])
}

#[cfg(test)]
mod tests;
