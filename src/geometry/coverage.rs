//! Polygons that tile an area and share the very same vertices, assembled from directed borders.

use std::collections::BTreeSet;

use geo::{
    Contains, Coord, CoordinatePosition, Intersects, LineString, Polygon,
    coordinate_position::CoordPos,
};

/// A piece of a border, walked with its own class on the left.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct HalfEdge {
    /// The class on the left.
    pub class: u32,
    /// The vertex that it leaves.
    pub from: u32,
    /// The vertex that it reaches.
    pub to: u32,
}

/// One connected piece of one class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Face {
    /// The class that the piece is of.
    pub class: u32,
    /// The outer ring, counter-clockwise, first vertex not repeated.
    pub exterior: Vec<u32>,
    /// The holes, clockwise, first vertex not repeated.
    pub holes: Vec<Vec<u32>>,
}

impl Face {
    /// The edges of all its rings, each with the face on its left.
    pub fn edges(&self) -> impl Iterator<Item = [u32; 2]> {
        std::iter::once(&self.exterior)
            .chain(&self.holes)
            .flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)))
            .map(|(&a, &b)| [a, b])
    }

    /// Takes vertices out of its rings.
    pub fn retain(&mut self, keep: impl Fn(u32) -> bool) {
        for ring in std::iter::once(&mut self.exterior).chain(&mut self.holes) {
            ring.retain(|&id| keep(id));
        }
    }
}

/// Which of a coverage's faces: a type of its own, so that no zone's number is taken for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FaceIndex(u32);

impl FaceIndex {
    /// From 0, as lists by face have it.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// Connected pieces that tile an area. A border between two pieces is the same run of vertices in
/// both, so there is neither gap nor overlap however the vertices are converted or rounded.
#[derive(Clone, Debug, Default)]
pub struct Coverage {
    /// The positions that the faces' vertices stand for.
    pub vertices: Vec<Coord<f64>>,
    /// The pieces, by class, then by their lowest vertex.
    pub faces: Vec<Face>,
}

impl Coverage {
    /// The faces with their indices.
    pub fn indexed(&self) -> impl Iterator<Item = (FaceIndex, &Face)> {
        (0..).map(FaceIndex).zip(&self.faces)
    }

    /// One of its faces. An index of another coverage is a fault of the program, which stops a debug
    /// build where there is no such face.
    #[must_use]
    pub fn face(&self, face: FaceIndex) -> Option<&Face> {
        let found = self.faces.get(face.index());
        debug_assert!(found.is_some(), "face {} of {}", face.index(), self.faces.len());
        found
    }

    /// Joins half-edges into faces. Every border must be there from each side that has a class, so
    /// that the half-edges of each class form closed rings.
    ///
    /// Two pieces of a class that touch in one point stay two faces; a face that touches itself in
    /// one point gets a hole there (OGC Simple Features, polygon assertions).
    #[must_use]
    pub fn from_half_edges(vertices: Vec<Coord<f64>>, mut half_edges: Vec<HalfEdge>) -> Self {
        half_edges.sort_unstable();
        let mut faces = Vec::new();
        let mut first = vec![NONE; vertices.len()];
        for edges in half_edges.chunk_by(|a, b| a.class == b.class) {
            let class = edges.first().map_or(0, |edge| edge.class);
            first.fill(NONE);
            for (number, edge) in (0..).zip(edges) {
                if let Some(slot) = first.get_mut(edge.from as usize) {
                    *slot = number.min(*slot);
                }
            }
            let rings = Rings { vertices: &vertices, edges, first: &first }.trace();
            faces.extend(nest(&vertices, class, rings));
        }
        Self { vertices, faces }
    }

    /// The coverage with its faces given new classes, in their order; faces of one class that share
    /// a border become one.
    #[must_use]
    pub fn dissolved(self, classes: &[u32]) -> Self {
        let mut sides: Vec<([u32; 2], u32)> = Vec::new();
        for (face, &class) in self.faces.iter().zip(classes) {
            sides.extend(face.edges().map(|edge| (edge, class)));
        }
        sides.sort_unstable();
        let class_beyond = |&[a, b]: &[u32; 2]| {
            let place = sides.binary_search_by_key(&[b, a], |(side, _)| *side).ok()?;
            sides.get(place).map(|(_, class)| *class)
        };
        let half_edges = sides
            .iter()
            .filter(|(side, class)| class_beyond(side) != Some(*class))
            .map(|&([from, to], class)| HalfEdge { class, from, to })
            .collect();
        Self::from_half_edges(self.vertices, half_edges)
    }

    /// A face as a polygon, each vertex placed by `place`.
    pub fn polygon(&self, face: &Face, place: impl Fn(u32) -> Coord<f64>) -> Polygon<f64> {
        let ring = |ids: &[u32]| {
            let mut line: Vec<Coord<f64>> = ids.iter().map(|&id| place(id)).collect();
            line.dedup();
            LineString::new(line)
        };
        Polygon::new(ring(&face.exterior), face.holes.iter().map(|hole| ring(hole)).collect())
    }

    /// A face as a polygon in the coverage's own coordinates.
    #[must_use]
    pub fn plane_polygon(&self, face: &Face) -> Polygon<f64> {
        self.polygon(face, |id| position(&self.vertices, id))
    }
}

fn position(vertices: &[Coord<f64>], id: u32) -> Coord<f64> {
    vertices.get(id as usize).copied().unwrap_or(Coord { x: f64::NAN, y: f64::NAN })
}

/// No place in a list.
const NONE: u32 = u32::MAX;

/// The half-edges of one class, sorted by the vertex that they leave.
struct Rings<'a> {
    vertices: &'a [Coord<f64>],
    edges: &'a [HalfEdge],
    /// For each vertex the first half-edge that leaves it.
    first: &'a [u32],
}

impl Rings<'_> {
    fn trace(&self) -> Vec<Vec<u32>> {
        let mut used = vec![false; self.edges.len()];
        let mut rings = Vec::new();
        let mut places = vec![NONE; self.vertices.len()];
        for start in 0..self.edges.len() {
            let mut walk = Vec::new();
            let mut next = Some(start);
            while let Some(i) = next {
                let (Some(edge), Some(seen)) = (self.edges.get(i), used.get_mut(i)) else { break };
                if std::mem::replace(seen, true) {
                    break;
                }
                walk.push(edge.from);
                next = self.after(edge, &used);
            }
            split_at_repeats(walk, &mut places, &mut rings);
        }
        rings
    }

    /// The half-edge that goes on around the same piece: where several leave the vertex, the one
    /// that comes first when turning clockwise from the way back, which keeps to this piece.
    fn after(&self, edge: &HalfEdge, used: &[bool]) -> Option<usize> {
        let first = *self.first.get(edge.to as usize)? as usize;
        let leaving = self.edges.iter().enumerate().skip(first);
        let free = leaving
            .take_while(|(_, other)| other.from == edge.to)
            .filter(|(i, _)| !used.get(*i).copied().unwrap_or(true));
        let at = position(self.vertices, edge.to);
        let back = position(self.vertices, edge.from) - at;
        free.min_by(|(_, a), (_, b)| {
            let turn =
                |other: &HalfEdge| clockwise_angle(back, position(self.vertices, other.to) - at);
            turn(a).total_cmp(&turn(b))
        })
        .map(|(i, _)| i)
    }
}

/// The clockwise turn from one direction to another, in (0, 2π].
fn clockwise_angle(from: Coord<f64>, to: Coord<f64>) -> f64 {
    let cross = from.x * to.y - from.y * to.x;
    let dot = from.x * to.x + from.y * to.y;
    let angle = libm::atan2(-cross, dot);
    if angle > 0.0 { angle } else { angle + std::f64::consts::TAU }
}

/// Cuts a closed walk into rings that visit each vertex once. `places` has no place for any vertex,
/// before and after.
fn split_at_repeats(walk: Vec<u32>, places: &mut [u32], rings: &mut Vec<Vec<u32>>) {
    let mut path: Vec<u32> = Vec::new();
    for vertex in walk {
        let at = places.get(vertex as usize).copied().unwrap_or(NONE);
        if at != NONE {
            let ring = path.split_off(at as usize);
            forget(places, &ring);
            rings.push(ring);
        }
        if let Some(place) = places.get_mut(vertex as usize) {
            *place = u32::try_from(path.len()).unwrap_or(NONE);
        }
        path.push(vertex);
    }
    forget(places, &path);
    if !path.is_empty() {
        rings.push(path);
    }
}

fn forget(places: &mut [u32], vertices: &[u32]) {
    for vertex in vertices {
        if let Some(place) = places.get_mut(*vertex as usize) {
            *place = NONE;
        }
    }
}

/// Twice the signed area, from the first vertex so that large coordinates cancel.
fn doubled_area(vertices: &[Coord<f64>], ring: &[u32]) -> f64 {
    let Some(&first) = ring.first() else { return 0.0 };
    let origin = position(vertices, first);
    let at = |id: u32| position(vertices, id) - origin;
    ring.iter().zip(ring.iter().skip(1)).map(|(&a, &b)| at(a).x * at(b).y - at(b).x * at(a).y).sum()
}

/// Gives each clockwise ring, as a hole, to the smallest outer ring around it.
fn nest(vertices: &[Coord<f64>], class: u32, rings: Vec<Vec<u32>>) -> Vec<Face> {
    let (mut faces, mut holes) = (Vec::new(), Vec::new());
    for mut ring in rings.into_iter().filter(|ring| ring.len() > 2) {
        let lowest = (0..ring.len()).min_by_key(|&i| ring.get(i).copied()).unwrap_or(0);
        ring.rotate_left(lowest);
        let area = doubled_area(vertices, &ring);
        if area > 0.0 {
            faces.push((area, Face { class, exterior: ring, holes: Vec::new() }));
        } else if area < 0.0 {
            holes.push(ring);
        }
    }
    holes.sort();
    if !holes.is_empty() {
        faces.sort_by(|(a, f), (b, g)| a.total_cmp(b).then_with(|| f.exterior.cmp(&g.exterior)));
        let coverage = Coverage { vertices: vertices.to_vec(), faces: Vec::new() };
        let outlines: Vec<(Polygon<f64>, BTreeSet<u32>)> = faces
            .iter()
            .map(|(_, face)| {
                (coverage.plane_polygon(face), face.exterior.iter().copied().collect())
            })
            .collect();
        for hole in holes {
            let around =
                outlines.iter().position(|(outline, ids)| holds(vertices, outline, ids, &hole));
            if let Some((_, face)) = around.and_then(|i| faces.get_mut(i)) {
                face.holes.push(hole);
            }
        }
    }
    let mut faces: Vec<Face> = faces.into_iter().map(|(_, face)| face).collect();
    faces.sort_by(|a, b| a.exterior.cmp(&b.exterior));
    faces
}

/// Whether an outline goes around a hole, judged at a vertex that they do not share.
fn holds(
    vertices: &[Coord<f64>],
    outline: &Polygon<f64>,
    ids: &BTreeSet<u32>,
    hole: &[u32],
) -> bool {
    use geo::BoundingRect;
    let bounds = outline.bounding_rect();
    hole.iter()
        .filter(|id| !ids.contains(id))
        .map(|&id| position(vertices, id))
        .find_map(|at| {
            if !bounds.is_some_and(|bounds| bounds.intersects(&at)) {
                return Some(false);
            }
            match outline.exterior().coordinate_position(&at) {
                CoordPos::OnBoundary => None,
                _ => Some(outline.contains(&geo::Point(at))),
            }
        })
        .unwrap_or(false)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edges(class: u32, ring: &[u32]) -> impl Iterator<Item = HalfEdge> + '_ {
        ring.iter().zip(ring.iter().cycle().skip(1)).map(move |(&from, &to)| HalfEdge {
            class,
            from,
            to,
        })
    }

    fn square(x: f64, y: f64, side: f64) -> [Coord<f64>; 4] {
        [(x, y), (x + side, y), (x + side, y + side), (x, y + side)].map(|(x, y)| Coord { x, y })
    }

    #[test]
    fn an_island_is_a_face_and_a_hole() {
        let vertices = [square(0.0, 0.0, 10.0), square(4.0, 4.0, 2.0)].concat();
        let half_edges: Vec<_> = edges(0, &[0, 1, 2, 3])
            .chain(edges(0, &[7, 6, 5, 4]))
            .chain(edges(1, &[4, 5, 6, 7]))
            .collect();
        let coverage = Coverage::from_half_edges(vertices, half_edges);
        let [outer, island] = &coverage.faces[..] else { panic!("{:?}", coverage.faces) };
        assert_eq!((outer.holes.len(), island.exterior.len()), (1, 4));
        assert_eq!(outer.holes[0], [4, 7, 6, 5]);
    }

    /// Two squares that touch at a corner are two faces, not one ring that touches itself.
    #[test]
    fn corners_do_not_connect() {
        let mut vertices = square(0.0, 0.0, 1.0).to_vec();
        vertices.extend(&square(1.0, 1.0, 1.0)[1..]);
        let half_edges: Vec<_> = edges(0, &[0, 1, 2, 3]).chain(edges(0, &[2, 4, 5, 6])).collect();
        let coverage = Coverage::from_half_edges(vertices, half_edges);
        assert_eq!(coverage.faces.len(), 2);
        assert!(
            coverage.faces.iter().all(|face| face.exterior.len() == 4 && face.holes.is_empty())
        );
    }

    /// A ring of land closed only at a corner: outer ring and hole share that vertex.
    #[test]
    fn a_hole_may_touch_the_outer_ring() {
        let vertices = [square(0.0, 0.0, 10.0), square(0.0, 0.0, 4.0)].concat();
        let half_edges: Vec<_> = edges(0, &[0, 1, 2, 3]).chain(edges(0, &[0, 7, 6, 5])).collect();
        // The hole's first corner is vertex 0 itself.
        let mut vertices = vertices;
        vertices[5] = Coord { x: 3.0, y: 1.0 };
        vertices[6] = Coord { x: 3.0, y: 3.0 };
        vertices[7] = Coord { x: 1.0, y: 3.0 };
        let coverage = Coverage::from_half_edges(vertices, half_edges);
        let [face] = &coverage.faces[..] else { panic!("{:?}", coverage.faces) };
        assert_eq!(
            (&face.exterior[..], &face.holes[..]),
            (&[0, 1, 2, 3][..], &[vec![0, 7, 6, 5]][..])
        );
    }
}
