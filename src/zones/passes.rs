//! Zones along the passes: cells one swath wide, each of one class.

#![expect(clippy::indexing_slicing, reason = "axes are 0 and 1, of arrays of two")]

use std::collections::BTreeMap;

use geo::{Contains, Coord, LineString, MultiPolygon};

use super::class::{APART, class_at};
use super::error::RimError;
use super::islands::{Joined, NodeOdds};
use super::merge::merge_small;
use super::outline::{EdgePiece, EdgePieces};
use super::partition::Partition;
use super::prefer::Prefer;
use super::triangulation::{Constraint, Facet, area_apart_of_parts, middles, triangulate};
use crate::geometry::{Coverage, HalfEdge};
use crate::surface::Lattice;
use crate::units::Area;

/// How near a line between cells a corner may lie, in meters: what positions are written to.
const CLEARANCE: f64 = 2e-3;
/// By how much the cells are moved, in meters, until no corner is that near to a line.
const NUDGE: f64 = 7e-3;

/// How the field is driven.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passes {
    /// The heading, in radians clockwise from the plane's north.
    pub heading: f64,
    /// The distance from pass to pass, in meters.
    pub swath: f64,
    /// The length of a cell along the pass, in meters.
    pub cell: f64,
}

/// The heading, in radians clockwise from the plane's north, of the longest side of a field.
#[must_use]
pub fn longest_side(boundary: &MultiPolygon<f64>) -> f64 {
    let sides = rings(boundary).flat_map(LineString::lines).map(|side| side.end - side.start);
    let longest = sides.max_by(|a, b| libm::hypot(a.x, a.y).total_cmp(&libm::hypot(b.x, b.y)));
    longest.map_or(0.0, |side| libm::atan2(side.x, side.y))
}

fn rings(boundary: &MultiPolygon<f64>) -> impl Iterator<Item = &LineString<f64>> {
    boundary.iter().flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()))
}

/// What the lattice says: whether each node is spread, and its class.
#[derive(Clone, Copy, Debug)]
pub struct ClassedNodes<'a> {
    /// Where the nodes are.
    pub lattice: &'a Lattice,
    /// Whether each is spread.
    pub inside: &'a [bool],
    /// The class of each.
    pub classes: &'a [u32],
}

/// Cuts a field into cells along the passes, each of the class that most of its nodes have, and
/// joins what is under `min_zone`, and islands by their odds, to a neighbor. `class_at` is asked where a cell has
/// no node. The first pass runs along the field's edge.
///
/// # Errors
/// When edges cross, which those of a checked boundary do not.
pub fn along_passes(
    boundary: &MultiPolygon<f64>,
    areas_apart: &[MultiPolygon<f64>],
    nodes: ClassedNodes<'_>,
    class_at: impl Fn(Coord<f64>) -> u32,
    passes: &Passes,
    (min_zone, prefer): (Area, Prefer),
    odds: &NodeOdds<'_>,
) -> Result<Partition, RimError> {
    let rings: Vec<&LineString<f64>> = rings(boundary).collect();
    let mut outline = EdgePieces::of(&rings, areas_apart, f64::INFINITY);
    let grid = Grid::over(&outline, passes);
    let named = outline.named;
    let mut landings = outline.landings.clone();
    let mut lines = Lines::new();
    let mut constraints = BTreeMap::new();
    let (edge, inner) = (outline.boundary.clone(), outline.inner.clone());
    for (pieces, kind) in [(inner, Constraint::Inner), (edge, Constraint::Boundary)] {
        for piece in pieces {
            let stops = grid.cut(piece, &mut outline.positions, &mut lines);
            let between = stops.get(1..stops.len() - 1).unwrap_or_default();
            landings.extend(between.iter().map(|&id| (id, piece.edge)));
            constraints.extend(stops.windows(2).filter_map(key).map(|ends| (ends, kind)));
        }
    }
    let spread = |at: Coord<f64>| {
        boundary.contains(&at) && !areas_apart.iter().any(|area| area.contains(&at))
    };
    for chain in grid.chains(lines, &mut outline.positions, spread) {
        constraints.extend(chain.windows(2).filter_map(key).map(|ends| (ends, Constraint::Inner)));
    }
    let mut vertices: Vec<u32> = constraints.keys().flatten().copied().collect();
    vertices.sort_unstable();
    vertices.dedup();
    let positions = outline.positions;
    let nowhere = Coord { x: f64::NAN, y: f64::NAN };
    let place = |id: u32| positions.get(id as usize).copied().unwrap_or(nowhere);
    let facets = triangulate(&vertices, &constraints, place)?;
    let majority = grid.majorities(&nodes);
    let of_parts = area_apart_of_parts(&facets, areas_apart, place);
    let classes: Vec<u32> = middles(&facets, place)
        .into_iter()
        .zip(of_parts)
        .map(|(middle, area_apart)| {
            match area_apart.and_then(|number| u32::try_from(number).ok()) {
                Some(number) => APART + number,
                None => {
                    majority.get(&grid.cell(middle)).copied().unwrap_or_else(|| class_at(middle))
                }
            }
        })
        .collect();
    let coverage = Coverage::from_half_edges(positions, half_edges(&facets, &classes));
    let coverage = merge_small(coverage, min_zone, prefer);
    let (coverage, islands) = Joined::join(coverage, odds);
    let mut partition =
        Partition { coverage, corners: outline.corner_ids, landings, islands, crossings: None };
    partition.drop_straight(named);
    Ok(partition)
}

fn key(ends: &[u32]) -> Option<[u32; 2]> {
    let &[a, b] = ends else { return None };
    Some([a.min(b), a.max(b)])
}

/// The sides of facets beyond which the class is another.
fn half_edges(facets: &[Facet], classes: &[u32]) -> Vec<HalfEdge> {
    let class_of = |facet: &Facet| class_at(classes, facet.part);
    let mut half_edges = Vec::new();
    for facet in facets {
        let class = class_of(facet);
        let ends = facet.corners.into_iter().zip(facet.corners.into_iter().cycle().skip(1));
        for ((from, to), (_, beyond)) in ends.zip(facet.sides) {
            let other = beyond.and_then(|number| facets.get(number)).map(class_of);
            if other != Some(class) {
                half_edges.push(HalfEdge { class, from, to });
            }
        }
    }
    half_edges
}

/// Where the lines between cells, across the passes (0) and along them (1), meet edges: the place on
/// the line, and the vertex.
type Lines = BTreeMap<(usize, i64), Vec<(f64, u32)>>;

/// Cells in rows; positions in it are counted in cells, first across the passes, then along.
struct Grid {
    across: Coord<f64>,
    along: Coord<f64>,
    origin: [f64; 2],
    size: [f64; 2],
}

impl Grid {
    /// Cells from just outside the field's edge, moved on until no corner is on a line.
    fn over(outline: &EdgePieces, passes: &Passes) -> Self {
        const TRIALS: u32 = 400;
        let (sin, cos) = libm::sincos(passes.heading);
        let (across, along) = (Coord { x: cos, y: -sin }, Coord { x: sin, y: cos });
        let size = [passes.swath, passes.cell];
        let mut grid = Self { across, along, origin: [0.0, 0.0], size };
        let least = |axis: usize| {
            let places = outline.positions.iter().map(|at| grid.place(*at)[axis] * size[axis]);
            places.fold(f64::INFINITY, f64::min)
        };
        let start = [least(0), least(1)];
        for trial in 1..=TRIALS {
            let back = NUDGE * f64::from(trial);
            grid.origin = start.map(|least| least - back);
            if grid.is_clear_of(outline) {
                break;
            }
        }
        grid
    }

    fn place(&self, at: Coord<f64>) -> [f64; 2] {
        let dot = |way: Coord<f64>| at.x * way.x + at.y * way.y;
        let [u, v] = [dot(self.across), dot(self.along)];
        [(u - self.origin[0]) / self.size[0], (v - self.origin[1]) / self.size[1]]
    }

    fn at(&self, [u, v]: [f64; 2]) -> Coord<f64> {
        self.across * (self.origin[0] + u * self.size[0])
            + self.along * (self.origin[1] + v * self.size[1])
    }

    #[expect(clippy::cast_possible_truncation, reason = "cells in a field")]
    fn cell(&self, at: Coord<f64>) -> [i64; 2] {
        self.place(at).map(|place| place.floor() as i64)
    }

    /// Whether no corner is near a line, and no edge near a crossing of two.
    fn is_clear_of(&self, outline: &EdgePieces) -> bool {
        let off_lines = outline.positions.iter().all(|at| {
            let place = self.place(*at);
            let off = |axis: usize| (place[axis] - place[axis].round()).abs() * self.size[axis];
            off(0) > CLEARANCE && off(1) > CLEARANCE
        });
        let pieces = || outline.boundary.iter().chain(&outline.inner);
        off_lines
            && pieces().all(|piece| {
                let [a, b] = piece.ends.map(|id| outline.at(id));
                let length = libm::hypot((b - a).x, (b - a).y);
                let shares: Vec<f64> =
                    self.crossings(a, b).into_iter().map(|(share, _)| share).collect();
                shares.windows(2).all(|pair| match *pair {
                    [one, other] => (other - one) * length > CLEARANCE,
                    _ => true,
                })
            })
    }

    /// Where a segment crosses lines: the share of its length, and the line.
    #[expect(clippy::cast_possible_truncation, reason = "cells in a field")]
    fn crossings(&self, a: Coord<f64>, b: Coord<f64>) -> Vec<(f64, (usize, i64))> {
        let (from, to) = (self.place(a), self.place(b));
        let mut found = Vec::new();
        for axis in [0, 1] {
            let (low, high) = (from[axis].min(to[axis]), from[axis].max(to[axis]));
            for line in low.ceil() as i64..=high.floor() as i64 {
                let share = (line as f64 - from[axis]) / (to[axis] - from[axis]);
                if share > 0.0 && share < 1.0 {
                    found.push((share, (axis, line)));
                }
            }
        }
        found.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1)));
        found
    }

    /// Cuts a piece of an edge at the lines; gives its vertices from end to end.
    fn cut(
        &self,
        piece: EdgePiece,
        positions: &mut Vec<Coord<f64>>,
        lines: &mut Lines,
    ) -> Vec<u32> {
        let [a, b] = piece.ends;
        let at = |id: u32| positions.get(id as usize).copied().unwrap_or_default();
        let (from, to) = (at(a), at(b));
        let mut stops = vec![a];
        for (share, (axis, line)) in self.crossings(from, to) {
            let id = add(positions, from + (to - from) * share);
            let place = self.place(from + (to - from) * share);
            lines.entry((axis, line)).or_default().push((place[1 - axis], id));
            stops.push(id);
        }
        stops.push(b);
        stops
    }

    /// The parts of the lines that are spread, as vertices from end to end.
    #[expect(clippy::cast_possible_truncation, reason = "cells in a field")]
    fn chains(
        &self,
        lines: Lines,
        positions: &mut Vec<Coord<f64>>,
        spread: impl Fn(Coord<f64>) -> bool,
    ) -> Vec<Vec<u32>> {
        let mut nodes: BTreeMap<[i64; 2], u32> = BTreeMap::new();
        let mut chains = Vec::new();
        for ((axis, line), mut stops) in lines {
            stops.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1)));
            let place = |along: f64| {
                self.at(if axis == 0 { [line as f64, along] } else { [along, line as f64] })
            };
            for pair in stops.windows(2) {
                let &[(from, start), (to, end)] = pair else { continue };
                if !spread(place(f64::midpoint(from, to))) {
                    continue;
                }
                let mut chain = vec![start];
                for other in from.ceil() as i64..=to.floor() as i64 {
                    let name = if axis == 0 { [line, other] } else { [other, line] };
                    let at = place(other as f64);
                    chain.push(*nodes.entry(name).or_insert_with(|| add(positions, at)));
                }
                chain.push(end);
                chains.push(chain);
            }
        }
        chains
    }

    /// The class that most of the spread nodes in each cell have, of equals the lowest.
    fn majorities(&self, nodes: &ClassedNodes<'_>) -> BTreeMap<[i64; 2], u32> {
        let mut counts: BTreeMap<[i64; 2], BTreeMap<u32, usize>> = BTreeMap::new();
        let columns = nodes.lattice.columns();
        for (node, (inside, class)) in nodes.inside.iter().zip(nodes.classes).enumerate() {
            if *inside {
                let at = Coord {
                    x: nodes.lattice.easting(node % columns),
                    y: nodes.lattice.northing(node / columns),
                };
                *counts.entry(self.cell(at)).or_default().entry(*class).or_insert(0) += 1;
            }
        }
        let most = |classes: BTreeMap<u32, usize>| {
            let most = classes.into_iter().max_by(|a, b| a.1.cmp(&b.1).then(b.0.cmp(&a.0)));
            most.map_or(0, |(class, _)| class)
        };
        counts.into_iter().map(|(cell, classes)| (cell, most(classes))).collect()
    }
}

fn add(positions: &mut Vec<Coord<f64>>, at: Coord<f64>) -> u32 {
    positions.push(at);
    u32::try_from(positions.len() - 1).unwrap_or(u32::MAX)
}
