//! The triangles between the clear cells and the boundary, and around samples.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, LineString};
use rstar::primitives::{GeomWithData, Line};
use rstar::{PointDistance, RTree};
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation, mitigate_underflow};

use super::cells::Cells;
use super::mesh::{Mesh, Triangle, position};
use crate::surface::Lattice;

/// How near the boundary a node may stand, in steps: nearer ones would make needles.
const NODE_CLEARANCE: f64 = 0.4;
/// How near a vertex a sample may stand, in steps: a nearer one is that vertex for all purposes.
const SAMPLE_CLEARANCE: f64 = 0.05;

/// Why a mesh could not be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RimError {
    /// Two edges of the boundary cross.
    #[error("boundary: two edges cross near easting {easting:.2} m, northing {northing:.2} m")]
    Crossing {
        /// Easting on the field's own projection.
        easting: f64,
        /// Northing on the field's own projection.
        northing: f64,
    },
    /// The triangulation refused a position.
    #[error("boundary: a position is not usable: {0}")]
    Position(String),
}

pub(super) fn build(
    rings: &[&LineString<f64>],
    samples: &[Coord<f64>],
    lattice: Lattice,
    inside: Vec<bool>,
) -> Result<Mesh, RimError> {
    let mut outline = Outline::of(rings, &lattice);
    let mut cells = Cells::new(&lattice);
    for &[a, b] in &outline.edges {
        cells.block(&lattice, outline.at(a), outline.at(b), 1.0);
    }
    let tree = RTree::bulk_load(
        outline
            .edges
            .iter()
            .map(|&[a, b]| Line::new(pair(outline.at(a)), pair(outline.at(b))))
            .collect(),
    );
    let clears = |at: Coord<f64>, clearance: f64| {
        let reach = (clearance * lattice.step()).powi(2);
        tree.nearest_neighbor(&pair(at)).is_none_or(|edge| edge.distance_2(&pair(at)) >= reach)
    };
    let free = free_samples(samples, &lattice, &inside, clears);
    let grain = lattice.step() * 1e-6;
    for at in &free {
        let corner = Coord { x: grain, y: grain };
        cells.block(&lattice, *at - corner, *at + corner, 0.0);
    }
    let node = |id: u32| position(&lattice, &[], id);
    let loose: Vec<u32> = cells
        .loose_nodes(&inside)
        .into_iter()
        .filter(|&id| clears(node(id), NODE_CLEARANCE))
        .collect();
    let sides = cells.outline(&inside);

    let base = u32::try_from(inside.len()).unwrap_or(u32::MAX);
    for edge in &mut outline.edges {
        *edge = edge.map(|id| id + base);
    }
    let mut extras = outline.positions;
    extras.extend(&free);
    let mut vertices: Vec<u32> = sides.iter().flatten().copied().chain(loose).collect();
    vertices.sort_unstable();
    vertices.dedup();
    vertices.extend((0..extras.len()).filter_map(|i| u32::try_from(i).ok()).map(|i| i + base));
    let (rim, border) =
        triangulate(&vertices, &outline.edges, &sides, |id| position(&lattice, &extras, id))?;
    let corner_ids = outline.corner_ids.iter().map(|id| id + base).collect();
    let (corners, parents) = (outline.corners, outline.parents);
    Ok(Mesh { lattice, inside, cells, extras, corners, corner_ids, parents, rim, border })
}

fn pair(at: Coord<f64>) -> [f64; 2] {
    [at.x, at.y]
}

/// The boundary's vertices and edges, edges cut into pieces no longer than a step.
#[derive(Default)]
struct Outline {
    positions: Vec<Coord<f64>>,
    corners: usize,
    corner_ids: Vec<u32>,
    /// The corners at the ends of the edge that each added position lies on.
    parents: Vec<[u32; 2]>,
    edges: Vec<[u32; 2]>,
}

impl Outline {
    #[expect(clippy::cast_possible_truncation, reason = "far fewer vertices than 2^32")]
    fn of(rings: &[&LineString<f64>], lattice: &Lattice) -> Self {
        let mut outline = Self::default();
        let mut known: BTreeMap<[u64; 2], u32> = BTreeMap::new();
        for ring in rings {
            for &at in ring.0.iter().take(ring.0.len().saturating_sub(1)) {
                let next = outline.positions.len();
                let id = *known.entry(pair(at).map(f64::to_bits)).or_insert(next as u32);
                if id as usize == next {
                    outline.positions.push(at);
                }
                outline.corner_ids.push(id);
            }
        }
        outline.corners = outline.positions.len();
        let mut start = 0;
        for ring in rings {
            let count = ring.0.len().saturating_sub(1);
            let ids: Vec<u32> =
                outline.corner_ids.iter().skip(start).take(count).copied().collect();
            start += count;
            for (&a, &b) in ids.iter().zip(ids.iter().cycle().skip(1)) {
                outline.cut(a, b, lattice.step());
            }
        }
        outline
    }

    fn at(&self, id: u32) -> Coord<f64> {
        self.positions.get(id as usize).copied().unwrap_or(Coord { x: f64::NAN, y: f64::NAN })
    }

    /// Adds the edge from `a` to `b` in equal pieces no longer than a step.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "lengths within a field over a step of centimetres at least"
    )]
    fn cut(&mut self, a: u32, b: u32, step: f64) {
        let (from, to) = (self.at(a), self.at(b));
        let pieces = ((to - from).x.hypot((to - from).y) / step).ceil().max(1.0) as u32;
        let mut last = a;
        for i in 1..pieces {
            let next = self.positions.len() as u32;
            self.positions.push(from + (to - from) * (f64::from(i) / f64::from(pieces)));
            self.parents.push([a, b]);
            self.edges.push([last, next]);
            last = next;
        }
        self.edges.push([last, b]);
    }
}

/// The samples that become vertices: in the field, and not all but on another vertex.
fn free_samples(
    samples: &[Coord<f64>],
    lattice: &Lattice,
    inside: &[bool],
    clears: impl Fn(Coord<f64>, f64) -> bool,
) -> Vec<Coord<f64>> {
    let reach = SAMPLE_CLEARANCE * lattice.step();
    let mut kept: RTree<GeomWithData<[f64; 2], ()>> = RTree::new();
    let mut free = Vec::new();
    for &at in samples {
        let across = ((at.x - lattice.easting(0)) / lattice.step()).round();
        let up = ((at.y - lattice.northing(0)) / lattice.step()).round();
        let node = Coord {
            x: lattice.easting(0) + across * lattice.step(),
            y: lattice.northing(0) + up * lattice.step(),
        };
        let in_lattice = across >= 0.0
            && up >= 0.0
            && across < lattice.columns() as f64
            && up < lattice.rows() as f64;
        let off_node = (at - node).x.hypot((at - node).y) > reach;
        let apart = kept.locate_within_distance(pair(at), reach * reach).next().is_none();
        if in_lattice
            && off_node
            && apart
            && clears(at, SAMPLE_CLEARANCE)
            && near_field(at, lattice, inside)
        {
            kept.insert(GeomWithData::new(pair(at), ()));
            free.push(at);
        }
    }
    free
}

/// Whether any corner of the cell around a position lies in the field; the rim sorts out the rest.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "only called for positions on the lattice"
)]
fn near_field(at: Coord<f64>, lattice: &Lattice, inside: &[bool]) -> bool {
    let column = ((at.x - lattice.easting(0)) / lattice.step()).floor().max(0.0) as usize;
    let row = ((at.y - lattice.northing(0)) / lattice.step()).floor().max(0.0) as usize;
    [(0, 0), (1, 0), (0, 1), (1, 1)].iter().any(|(right, up)| {
        let node = (row + up) * lattice.columns() + column + right;
        inside.get(node).copied().unwrap_or(false)
    })
}

type Rim = (Vec<Triangle>, Vec<[u32; 2]>);

/// Triangulates the vertices under the constraints and keeps what lies in the field and in no clear
/// cell: the state flips at each boundary edge and at each side of the clear cells.
#[expect(
    clippy::indexing_slicing,
    reason = "indices come from the triangulation of these vertices"
)]
fn triangulate(
    vertices: &[u32],
    edges: &[[u32; 2]],
    sides: &[[u32; 2]],
    place: impl Fn(u32) -> Coord<f64>,
) -> Result<Rim, RimError> {
    let index: BTreeMap<u32, usize> = vertices.iter().enumerate().map(|(i, &id)| (id, i)).collect();
    let points = vertices.iter().map(|&id| place(id));
    let points = points.map(|at| mitigate_underflow(Point2::new(at.x, at.y))).collect();
    let constraints = edges.iter().chain(sides).map(|side| side.map(|id| index[&id])).collect();
    let mut crossing = None;
    let mesh = ConstrainedDelaunayTriangulation::<Point2<f64>>::try_bulk_load_cdt(
        points,
        constraints,
        |[a, _]| crossing = crossing.or(Some(a)),
    )
    .map_err(|error| RimError::Position(error.to_string()))?;
    if let Some(at) = crossing {
        let at = place(vertices[at]);
        return Err(RimError::Crossing { easting: at.x, northing: at.y });
    }
    let sides: BTreeSet<[u32; 2]> = sides.iter().map(|&[a, b]| [a.min(b), a.max(b)]).collect();
    let name = |edge: spade::handles::DirectedEdgeHandle<'_, _, _, _, _>| {
        [vertices[edge.from().index()], vertices[edge.to().index()]]
    };
    let is_side = |[a, b]: [u32; 2]| sides.contains(&[a.min(b), a.max(b)]);

    // (in the field, in a clear cell) of each face, from the outer face inwards.
    let mut states: Vec<Option<(bool, bool)>> = vec![None; mesh.num_all_faces()];
    states[mesh.outer_face().index()] = Some((false, false));
    let mut queue: Vec<_> = mesh.convex_hull().map(|edge| edge.rev()).collect();
    queue.extend(mesh.convex_hull());
    while let Some(edge) = queue.pop() {
        let (here, there) = (edge.face().index(), edge.rev().face().index());
        let (Some((field, clear)), None) = (states[here], states[there]) else { continue };
        let constraint = edge.is_constraint_edge();
        let side = constraint && is_side(name(edge));
        states[there] = Some((field ^ (constraint && !side), clear ^ side));
        if let Some(face) = edge.rev().face().as_inner() {
            queue.extend(face.adjacent_edges());
        }
    }
    let (mut rim, mut border) = (Vec::new(), Vec::new());
    for face in mesh.inner_faces() {
        if states[face.index()] != Some((true, false)) {
            continue;
        }
        rim.push(face.vertices().map(|vertex| vertices[vertex.index()]));
        for edge in face.adjacent_edges() {
            if edge.is_constraint_edge() && !is_side(name(edge)) {
                border.push(name(edge));
            }
        }
    }
    Ok((rim, border))
}
