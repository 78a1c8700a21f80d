//! The triangles between the clear cells and the boundary, and around samples.

use std::collections::BTreeMap;

use geo::{Coord, LineString, MultiPolygon};
use rstar::primitives::{GeomWithData, Line};
use rstar::{PointDistance, RTree};

use super::cells::ClearCells;
use super::coordinate_pair::pair;
use super::error::RimError;
use super::outline::{EdgePiece, EdgePieces};
use super::triangulation::{Constraint, Facet, area_apart_of_parts, triangulate};
use super::vertices::{Triangle, position};
use crate::surface::Lattice;

/// How near the boundary a node may stand, in steps: nearer ones would make needles.
const NODE_CLEARANCE: f64 = 0.4;
/// How near a vertex a sample may stand, in steps: a nearer one is that vertex for all purposes.
const SAMPLE_CLEARANCE: f64 = 0.05;

/// What fills the field around the clear cells. Its vertices go on from the lattice's nodes.
#[derive(Debug)]
pub(super) struct Rim {
    /// Which cells are clear.
    pub cells: ClearCells,
    /// Vertices beyond the lattice.
    pub extras: Vec<Coord<f64>>,
    /// How many of the extras are the boundary's or an area apart's vertices.
    pub named: usize,
    /// From here on the extras are samples.
    pub samples_from: usize,
    /// The vertex that each of the boundary's positions became: two rings may touch in one.
    pub corner_ids: Vec<u32>,
    /// The areas apart's vertices that are on the boundary, each with the corners of its edge, all
    /// counted among the extras.
    pub landings: Vec<(u32, [u32; 2])>,
    pub triangles: Vec<Triangle>,
    pub borders: RimBorders,
}

/// Fills the field around the clear cells. `inside` says which nodes are in the field and in no
/// area apart.
pub(super) fn build(
    rings: &[&LineString<f64>],
    areas_apart: &[MultiPolygon<f64>],
    samples: &[Coord<f64>],
    lattice: Lattice,
    inside: &[bool],
) -> Result<Rim, RimError> {
    let mut outline = EdgePieces::of(rings, areas_apart, lattice.step());
    let lines = || outline.boundary.iter().chain(&outline.inner).map(|piece| piece.ends);
    let mut cells = ClearCells::new(&lattice);
    for [a, b] in lines() {
        cells.block(&lattice, outline.at(a), outline.at(b), 1.0);
    }
    let line = |[a, b]: [u32; 2]| Line::new(pair(outline.at(a)), pair(outline.at(b)));
    let tree = RTree::bulk_load(lines().map(line).collect());
    let clears = |at: Coord<f64>, clearance: f64| {
        let reach = (clearance * lattice.step()).powi(2);
        tree.nearest_neighbor(&pair(at)).is_none_or(|edge| edge.distance_2(&pair(at)) >= reach)
    };
    let free = free_samples(samples, &lattice, inside, clears);
    let grain = lattice.step() * 1e-6;
    for at in &free {
        let corner = Coord { x: grain, y: grain };
        cells.block(&lattice, *at - corner, *at + corner, 0.0);
    }
    let node = |id: u32| position(&lattice, &[], id);
    let loose: Vec<u32> = cells
        .loose_nodes(inside)
        .into_iter()
        .filter(|&id| clears(node(id), NODE_CLEARANCE))
        .collect();
    let sides = cells.outline(inside);

    let base = u32::try_from(inside.len()).unwrap_or(u32::MAX);
    let mut extras = std::mem::take(&mut outline.positions);
    let samples_from = extras.len();
    extras.extend(&free);
    let mut vertices: Vec<u32> = sides.iter().flatten().copied().chain(loose).collect();
    vertices.sort_unstable();
    vertices.dedup();
    vertices.extend((0..extras.len()).filter_map(|i| u32::try_from(i).ok()).map(|i| i + base));
    let key = |[a, b]: [u32; 2]| [a.min(b), a.max(b)];
    let pieces = |pieces: &[EdgePiece], kind| -> Vec<_> {
        pieces.iter().map(|piece| (key(piece.ends.map(|id| id + base)), kind)).collect()
    };
    let mut constraints: BTreeMap<_, _> =
        sides.into_iter().map(|side| (key(side), Constraint::Side)).collect();
    constraints.extend(pieces(&outline.inner, Constraint::Inner));
    constraints.extend(pieces(&outline.boundary, Constraint::Boundary));
    let place = |id| position(&lattice, &extras, id);
    let facets = triangulate(&vertices, &constraints, place)?;
    let of_parts = area_apart_of_parts(&facets, areas_apart, place);
    let borders = RimBorders::of(&facets, &of_parts, &outline, base);
    let triangles = facets
        .iter()
        .filter(|facet| of_parts.get(facet.part).is_some_and(Option::is_none))
        .map(|facet| facet.corners)
        .collect();
    let EdgePieces { named, corner_ids, landings, .. } = outline;
    let corner_ids = corner_ids.iter().map(|id| id + base).collect();
    Ok(Rim { cells, extras, named, samples_from, corner_ids, landings, triangles, borders })
}

/// The borders of what is spread and of what is not.
#[derive(Debug, Default)]
pub struct RimBorders {
    /// Around what is spread, which is on the left of each.
    pub spread: Vec<Border>,
    /// Around each area apart, on the left of its pieces, but for those that it shares with what is
    /// spread.
    pub area_apart: Vec<(u32, [u32; 2])>,
}

/// A piece of the border of what is spread.
#[derive(Clone, Copy, Debug)]
pub struct Border {
    /// Its ends, what is spread on the left.
    pub ends: [u32; 2],
    /// The named vertices, counted among the extras, of the edge that it is on.
    pub edge: [u32; 2],
    /// The area apart beyond; none where the field ends.
    pub area_apart: Option<u32>,
}

impl RimBorders {
    fn of(facets: &[Facet], parts: &[Option<usize>], outline: &EdgePieces, base: u32) -> Self {
        let edges: BTreeMap<[u32; 2], [u32; 2]> = outline
            .boundary
            .iter()
            .chain(&outline.inner)
            .map(|piece| {
                ([piece.ends[0].min(piece.ends[1]), piece.ends[0].max(piece.ends[1])], piece.edge)
            })
            .collect();
        let area_apart = |facet: usize| {
            let part = facets.get(facet).map(|facet| facet.part);
            let number = part.and_then(|part| parts.get(part).copied().flatten());
            number.and_then(|number| u32::try_from(number).ok())
        };
        let mut borders = Self::default();
        for (number, facet) in facets.iter().enumerate() {
            let own = area_apart(number);
            let ends = facet.corners.into_iter().zip(facet.corners.into_iter().cycle().skip(1));
            for ((a, b), (constraint, beyond)) in ends.zip(facet.sides) {
                let outside = constraint == Some(Constraint::Boundary);
                if !outside && constraint != Some(Constraint::Inner) {
                    continue;
                }
                let other = beyond.filter(|_| !outside).and_then(area_apart);
                match own {
                    None if outside || other.is_some() => {
                        let (i, j) = (a - base, b - base);
                        let edge = edges.get(&[i.min(j), i.max(j)]).copied().unwrap_or([i, j]);
                        borders.spread.push(Border { ends: [a, b], edge, area_apart: other });
                    }
                    Some(own) if outside || other.is_some_and(|other| other != own) => {
                        borders.area_apart.push((own, [a, b]));
                    }
                    _ => {}
                }
            }
        }
        borders
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
        let off_node = libm::hypot((at - node).x, (at - node).y) > reach;
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
