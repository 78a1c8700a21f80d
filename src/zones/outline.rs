//! The boundary and the outlines of the areas apart as one set of edges that meet only in vertices.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, LineString, MultiPolygon};
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, PointDistance, RTree};

use super::coordinate_pair::pair;
use super::crossings::crossings;

/// How near an area apart's vertex is the same as another vertex, or on an edge, in meters: the
/// millimeter that coordinates are written to, ten times what clipping moves a vertex.
const SNAP: f64 = 1e-3;
/// How often edges that cross are parted.
const MOST_ROUNDS: usize = 32;

/// A piece of an edge, and the edge (by named vertices) that it is on.
#[derive(Clone, Copy, Debug)]
pub struct EdgePiece {
    pub ends: [u32; 2],
    pub edge: [u32; 2],
}

/// Edges in pieces no longer than a step. Vertices are numbered: the boundary's corners in its order
/// (first of each ring not repeated), the areas apart's own, then the points between pieces.
#[derive(Debug, Default)]
pub struct EdgePieces {
    pub positions: Vec<Coord<f64>>,
    /// How many vertices are the boundary's own.
    pub corners: usize,
    /// How many are the boundary's or an area apart's.
    pub named: usize,
    /// The vertex that each of the boundary's positions became: two rings may touch in one.
    pub corner_ids: Vec<u32>,
    /// The areas apart's vertices that are on the boundary, each with the corners of its edge.
    pub landings: Vec<(u32, [u32; 2])>,
    /// The boundary.
    pub boundary: Vec<EdgePiece>,
    /// The areas apart's outlines in the field.
    pub inner: Vec<EdgePiece>,
}

impl EdgePieces {
    /// Rings of the boundary with the areas apart inside it, in meters.
    pub fn of(rings: &[&LineString<f64>], areas_apart: &[MultiPolygon<f64>], step: f64) -> Self {
        let mut outline = Self::default();
        let edges = outline.boundary_edges(rings);
        let (mut on_edge, mut inner) = (BTreeMap::new(), BTreeSet::new());
        if areas_apart.iter().any(|area| !area.0.is_empty()) {
            (on_edge, inner) = outline.area_apart_edges(&edges, areas_apart);
            outline.part(&edges, &mut on_edge, &mut inner);
        }
        outline.named = outline.positions.len();
        for (number, edge) in edges.iter().enumerate() {
            let between = on_edge.get(&number).map_or(&[][..], Vec::as_slice);
            outline.landings.extend(between.iter().map(|&id| (id, *edge)));
            let stops = [&edge[..1], between, &edge[1..]].concat();
            for ends in stops.windows(2) {
                let &[a, b] = ends else { continue };
                inner.remove(&[a.min(b), a.max(b)]);
                let pieces = outline.cut([a, b], *edge, step);
                outline.boundary.extend(pieces);
            }
        }
        for edge in inner {
            let pieces = outline.cut(edge, edge, step);
            outline.inner.extend(pieces);
        }
        outline
    }

    pub fn at(&self, id: u32) -> Coord<f64> {
        self.positions.get(id as usize).copied().unwrap_or(Coord { x: f64::NAN, y: f64::NAN })
    }

    /// Numbers the boundary's corners and gives its edges.
    fn boundary_edges(&mut self, rings: &[&LineString<f64>]) -> Vec<[u32; 2]> {
        let mut known: BTreeMap<[u64; 2], u32> = BTreeMap::new();
        let mut edges = Vec::new();
        for ring in rings {
            let start = self.corner_ids.len();
            for &at in ring.0.iter().take(ring.0.len().saturating_sub(1)) {
                let id = *known.entry(pair(at).map(f64::to_bits)).or_insert_with(|| {
                    self.positions.push(at);
                    number(self.positions.len() - 1)
                });
                self.corner_ids.push(id);
            }
            let ids = self.corner_ids.get(start..).unwrap_or_default();
            edges.extend(ids.iter().zip(ids.iter().cycle().skip(1)).map(|(&a, &b)| [a, b]));
        }
        self.corners = self.positions.len();
        edges
    }

    /// Adds the areas apart's vertices, snapped to what is there; gives those on each edge of the
    /// boundary in its direction, and the outlines' edges, split where they touch a vertex.
    fn area_apart_edges(
        &mut self,
        edges: &[[u32; 2]],
        areas_apart: &[MultiPolygon<f64>],
    ) -> (BTreeMap<usize, Vec<u32>>, BTreeSet<[u32; 2]>) {
        let line = |edge: &[u32; 2]| Line::new(pair(self.at(edge[0])), pair(self.at(edge[1])));
        let boundary: Vec<_> =
            edges.iter().enumerate().map(|(i, edge)| GeomWithData::new(line(edge), i)).collect();
        let boundary = RTree::bulk_load(boundary);
        let corners = self.positions.iter().enumerate();
        let mut vertices = RTree::bulk_load(
            corners.map(|(i, at)| GeomWithData::new(pair(*at), number(i))).collect(),
        );
        let mut on_edge: BTreeMap<usize, Vec<u32>> = BTreeMap::new();
        let mut raw: BTreeSet<[u32; 2]> = BTreeSet::new();
        let polygons = areas_apart.iter().flatten();
        let rings = polygons.flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
        for ring in rings {
            let mut ids = Vec::new();
            for &at in ring.0.iter().take(ring.0.len().saturating_sub(1)) {
                let near = vertices.nearest_neighbor(&pair(at));
                if let Some(near) = near.filter(|near| near.distance_2(&pair(at)) < SNAP * SNAP) {
                    ids.push(near.data);
                    continue;
                }
                let id = number(self.positions.len());
                let edge = boundary.nearest_neighbor(&pair(at));
                let edge = edge.filter(|edge| edge.distance_2(&pair(at)) < SNAP * SNAP);
                let at = edge.map_or(at, |edge| {
                    let [x, y] = edge.geom().nearest_point(&pair(at));
                    on_edge.entry(edge.data).or_default().push(id);
                    Coord { x, y }
                });
                self.positions.push(at);
                vertices.insert(GeomWithData::new(pair(at), id));
                ids.push(id);
            }
            ids.dedup();
            let sides = ids.iter().zip(ids.iter().cycle().skip(1));
            raw.extend(sides.filter(|(a, b)| a != b).map(|(&a, &b)| [a.min(b), a.max(b)]));
        }
        for (edge, ids) in &mut on_edge {
            if let Some(&[a, b]) = edges.get(*edge) {
                self.sort_along(a, b, ids);
            }
        }
        let mut inner = BTreeSet::new();
        for [a, b] in raw {
            let mut between = self.touched(a, b, &vertices);
            self.sort_along(a, b, &mut between);
            let stops = [&[a][..], &between, &[b]].concat();
            inner.extend(stops.windows(2).filter_map(|ends| match *ends {
                [a, b] => Some([a.min(b), a.max(b)]),
                _ => None,
            }));
        }
        (on_edge, inner)
    }

    /// Parts edges that cross: snapping moves them by a millimeter, which is much in a sharp corner.
    fn part(
        &mut self,
        edges: &[[u32; 2]],
        on_edge: &mut BTreeMap<usize, Vec<u32>>,
        inner: &mut BTreeSet<[u32; 2]>,
    ) {
        // Each round parts all that cross; a vertex of its own may make another cross.
        for _ in 0..MOST_ROUNDS {
            let mut lines: Vec<([u32; 2], Option<usize>)> = Vec::new();
            for (number, &[a, b]) in edges.iter().enumerate() {
                let between = on_edge.get(&number).map_or(&[][..], Vec::as_slice);
                let stops = [&[a][..], between, &[b]].concat();
                lines.extend(stops.windows(2).filter_map(|ends| match *ends {
                    [a, b] => Some(([a, b], Some(number))),
                    _ => None,
                }));
            }
            // Where both run, the boundary does.
            let run: BTreeSet<[u32; 2]> =
                lines.iter().map(|([a, b], _)| [*a.min(b), *a.max(b)]).collect();
            inner.retain(|ends| !run.contains(ends));
            lines.extend(inner.iter().map(|ends| (*ends, None)));
            let stops = crossings(&mut self.positions, &lines);
            if stops.is_empty() {
                return;
            }
            for (number, mut between) in stops {
                let Some(&([a, b], edge)) = lines.get(number) else { continue };
                self.sort_along(a, b, &mut between);
                if let Some(&[a, b]) = edge.and_then(|edge| edges.get(edge)) {
                    let known = on_edge.entry(edge.unwrap_or_default()).or_default();
                    known.extend(between);
                    self.sort_along(a, b, known);
                    continue;
                }
                inner.remove(&[a, b]);
                let chain = [&[a][..], &between, &[b]].concat();
                inner.extend(chain.windows(2).filter_map(|ends| match *ends {
                    [a, b] => Some([a.min(b), a.max(b)]),
                    _ => None,
                }));
            }
        }
    }

    /// The vertices that an edge runs over between its ends.
    fn touched(&self, a: u32, b: u32, vertices: &RTree<GeomWithData<[f64; 2], u32>>) -> Vec<u32> {
        let (from, to) = (self.at(a), self.at(b));
        let line = Line::new(pair(from), pair(to));
        let low = [from.x.min(to.x) - SNAP, from.y.min(to.y) - SNAP];
        let high = [from.x.max(to.x) + SNAP, from.y.max(to.y) + SNAP];
        vertices
            .locate_in_envelope(&AABB::from_corners(low, high))
            .filter(|vertex| vertex.data != a && vertex.data != b)
            .filter(|vertex| line.distance_2(vertex.geom()) < SNAP * SNAP)
            // One beyond an end would fold the edge.
            .filter(|vertex| {
                let along = self.along(a, b, vertex.data);
                along > 0.0 && along < self.along(a, b, b)
            })
            .map(|vertex| vertex.data)
            .collect()
    }

    fn sort_along(&self, a: u32, b: u32, ids: &mut [u32]) {
        ids.sort_by(|&one, &other| self.along(a, b, one).total_cmp(&self.along(a, b, other)));
    }

    /// How far along an edge a vertex is, in lengths of the edge by meters.
    fn along(&self, a: u32, b: u32, id: u32) -> f64 {
        let (way, away) = (self.at(b) - self.at(a), self.at(id) - self.at(a));
        away.x * way.x + away.y * way.y
    }

    /// A part of an edge in equal pieces no longer than a step.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "lengths within a field over a step of centimetres at least"
    )]
    fn cut(&mut self, [a, b]: [u32; 2], edge: [u32; 2], step: f64) -> Vec<EdgePiece> {
        let (from, to) = (self.at(a), self.at(b));
        let count = (libm::hypot((to - from).x, (to - from).y) / step).ceil().max(1.0) as u32;
        let mut pieces = Vec::new();
        let mut last = a;
        for i in 1..count {
            let next = number(self.positions.len());
            self.positions.push(from + (to - from) * (f64::from(i) / f64::from(count)));
            pieces.push(EdgePiece { ends: [last, next], edge });
            last = next;
        }
        pieces.push(EdgePiece { ends: [last, b], edge });
        pieces
    }
}

/// A vertex's number: far fewer than 2³².
fn number(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}
