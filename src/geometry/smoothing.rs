//! Smooths and simplifies the borders inside a coverage, each once for both its sides.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, LineString, SimplifyIdx};
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree, RTreeObject};

use super::Coverage;

/// A border between two ends, as vertex numbers in the direction of its first use.
type Arc = Vec<u32>;

/// Smooths inner borders and drops vertices that a tolerance does not need.
///
/// A border runs between places where more than two pieces meet or where the outline begins;
/// `fixed` vertices (the outline's) never move and are never dropped. Each free vertex is averaged
/// with its neighbours along the border, moves at most `tolerance` metres, and is then dropped where
/// the line without it stays within the tolerance (Douglas and Peucker 1973). A border that would
/// cross another, or itself, is left as it was: the coverage stays valid.
#[must_use]
pub fn smoothed(coverage: Coverage, fixed: impl Fn(u32) -> bool, tolerance: f64) -> Coverage {
    let network = Network::of(&coverage, fixed);
    let mut vertices = coverage.vertices.clone();
    let mut lines: Vec<Arc> = Vec::new();
    for (arc, &inner) in network.arcs.iter().zip(&network.inner) {
        let eased = inner.then(|| ease(arc, &coverage.vertices, &mut vertices, tolerance));
        lines.push(eased.unwrap_or_else(|| arc.clone()));
    }
    loop {
        let bad = crossing(&lines, &vertices, &network.rim);
        if bad.is_empty() {
            break;
        }
        let mut undone = false;
        for arc in bad {
            if let (Some(line), Some(original)) = (lines.get_mut(arc), network.arcs.get(arc)) {
                if line != original {
                    line.clone_from(original);
                    undone = true;
                }
                for &id in original {
                    restore(&mut vertices, &coverage.vertices, id);
                }
            }
        }
        if !undone {
            break;
        }
    }
    network.rebuild(&coverage, &lines, vertices)
}

fn restore(vertices: &mut [Coord<f64>], original: &[Coord<f64>], id: u32) {
    if let (Some(slot), Some(at)) = (vertices.get_mut(id as usize), original.get(id as usize)) {
        *slot = *at;
    }
}

/// Averages the inner vertices of a border with their neighbours, then drops what is not needed.
fn ease(arc: &Arc, original: &[Coord<f64>], vertices: &mut [Coord<f64>], tolerance: f64) -> Arc {
    const PASSES: usize = 4;
    if arc.len() < 3 {
        return arc.clone();
    }
    let start: Vec<Coord<f64>> =
        arc.iter().filter_map(|&id| original.get(id as usize).copied()).collect();
    let closed = arc.first() == arc.last();
    let mut line = start.clone();
    for _ in 0..PASSES {
        let last = line.clone();
        let count = last.len();
        let at = |i: usize| last.get(i).copied().unwrap_or_default();
        for (i, slot) in line.iter_mut().enumerate() {
            let end = i == 0 || i + 1 == count;
            if end && !closed {
                continue;
            }
            let before = if i == 0 { at(count - 2) } else { at(i - 1) };
            let after = if i + 1 == count { at(1) } else { at(i + 1) };
            *slot = before * 0.25 + at(i) * 0.5 + after * 0.25;
        }
    }
    for ((slot, from), &id) in line.iter_mut().zip(&start).zip(arc) {
        let shift = *slot - *from;
        let far = shift.x.hypot(shift.y);
        if far > tolerance {
            *slot = *from + shift * (tolerance / far);
        }
        if let Some(vertex) = vertices.get_mut(id as usize) {
            *vertex = *slot;
        }
    }
    let keep = kept(&line, tolerance, closed);
    keep.into_iter().filter_map(|i| arc.get(i).copied()).collect()
}

/// The places that Douglas and Peucker keep; of a closed line at least four, so that it stays a ring.
fn kept(line: &[Coord<f64>], tolerance: f64, closed: bool) -> Vec<usize> {
    let whole: Vec<usize> = (0..line.len()).collect();
    if !closed {
        return LineString::new(line.to_vec()).simplify_idx(tolerance);
    }
    // A closed line is cut at the vertex farthest from its start, and each half kept on its own.
    let start = line.first().copied().unwrap_or_default();
    let away = |at: &Coord<f64>| (at.x - start.x).hypot(at.y - start.y);
    let far = line
        .iter()
        .enumerate()
        .max_by(|a, b| away(a.1).total_cmp(&away(b.1)))
        .map_or(0, |(i, _)| i);
    let half = |from: usize, to: usize| -> Vec<usize> {
        let part = line.get(from..=to).unwrap_or_default().to_vec();
        LineString::new(part).simplify_idx(tolerance).into_iter().map(|i| i + from).collect()
    };
    let mut keep = half(0, far);
    keep.extend(half(far, line.len() - 1).into_iter().skip(1));
    if keep.len() < 5 { whole } else { keep }
}

/// The borders that cross another border, the rim, or themselves.
fn crossing(lines: &[Arc], vertices: &[Coord<f64>], rim: &[[u32; 2]]) -> BTreeSet<usize> {
    let at = |id: u32| vertices.get(id as usize).copied().unwrap_or_default();
    let segment = |a: u32, b: u32, arc: usize| {
        let (from, to) = (at(a), at(b));
        GeomWithData::new(Line::new([from.x, from.y], [to.x, to.y]), (a, b, arc))
    };
    let inner = lines.iter().enumerate().flat_map(|(arc, line)| {
        line.iter().zip(line.iter().skip(1)).map(move |(&a, &b)| (a, b, arc))
    });
    let outer = rim.iter().map(|&[a, b]| (a, b, usize::MAX));
    let tree = RTree::bulk_load(inner.chain(outer).map(|(a, b, arc)| segment(a, b, arc)).collect());
    let mut bad = BTreeSet::new();
    for one in tree.iter().filter(|one| one.data.2 != usize::MAX) {
        let envelope: AABB<[f64; 2]> = one.geom().envelope();
        for other in tree.locate_in_envelope_intersecting(&envelope) {
            let ((a, b, arc), (c, d, other_arc)) = (one.data, other.data);
            let same = [a, b] == [c, d];
            if !same && cross_or_touch([a, b], [c, d], &at) {
                bad.insert(arc);
                if other_arc != usize::MAX {
                    bad.insert(other_arc);
                }
            }
        }
    }
    bad
}

/// Whether two segments meet anywhere but in an end that they share.
fn cross_or_touch([a, b]: [u32; 2], [c, d]: [u32; 2], at: &impl Fn(u32) -> Coord<f64>) -> bool {
    use geo::line_intersection::{LineIntersection, line_intersection};
    let line = |a: u32, b: u32| geo::Line::new(at(a), at(b));
    match line_intersection(line(a, b), line(c, d)) {
        None => false,
        Some(LineIntersection::Collinear { .. }) => true,
        Some(LineIntersection::SinglePoint { .. }) => {
            let shared = [a, b].iter().any(|id| [c, d].contains(id));
            !shared
        }
    }
}

/// The borders of a coverage: each run of vertices between two nodes, once.
struct Network {
    arcs: Vec<Arc>,
    /// Whether an arc is inside, between two pieces.
    inner: Vec<bool>,
    /// The rings of each face as arcs, `true` where the arc is walked backwards.
    rings: Vec<Vec<Vec<(usize, bool)>>>,
    /// The pieces of the outline.
    rim: Vec<[u32; 2]>,
}

impl Network {
    fn of(coverage: &Coverage, fixed: impl Fn(u32) -> bool) -> Self {
        let rings_of = |face: &super::Face| {
            std::iter::once(face.exterior.clone())
                .chain(face.holes.iter().cloned())
                .collect::<Vec<_>>()
        };
        let mut walked: BTreeSet<[u32; 2]> = BTreeSet::new();
        let mut around: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
        for face in &coverage.faces {
            for ring in rings_of(face) {
                for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                    walked.insert([a, b]);
                    around.entry(a).or_default().insert(b);
                    around.entry(b).or_default().insert(a);
                }
            }
        }
        let rim: Vec<[u32; 2]> =
            walked.iter().copied().filter(|&[a, b]| !walked.contains(&[b, a])).collect();
        let on_rim: BTreeSet<u32> = rim.iter().flatten().copied().collect();
        let is_node = |id: u32| {
            fixed(id)
                || on_rim.contains(&id)
                || around.get(&id).is_none_or(|others| others.len() > 2)
        };
        let mut network = Self { arcs: Vec::new(), inner: Vec::new(), rings: Vec::new(), rim };
        let mut known: BTreeMap<Arc, usize> = BTreeMap::new();
        for face in &coverage.faces {
            let mut rings = Vec::new();
            for mut ring in rings_of(face) {
                if let Some(start) = ring.iter().position(|&id| is_node(id)) {
                    ring.rotate_left(start);
                }
                ring.extend(ring.first().copied());
                let mut pieces = Vec::new();
                let mut arc = Arc::new();
                for (i, &id) in ring.iter().enumerate() {
                    arc.push(id);
                    if i > 0 && (is_node(id) || i + 1 == ring.len()) {
                        pieces.push(network.add(std::mem::replace(&mut arc, vec![id]), &mut known));
                    }
                }
                rings.push(pieces);
            }
            network.rings.push(rings);
        }
        network.inner = network
            .arcs
            .iter()
            .map(|arc| match arc[..] {
                [a, b, ..] => walked.contains(&[b, a]) && walked.contains(&[a, b]),
                _ => false,
            })
            .collect();
        network
    }

    fn add(&mut self, arc: Arc, known: &mut BTreeMap<Arc, usize>) -> (usize, bool) {
        let mut reversed = arc.clone();
        reversed.reverse();
        if let Some(&number) = known.get(&reversed) {
            return (number, true);
        }
        let number = *known.entry(arc.clone()).or_insert(self.arcs.len());
        if number == self.arcs.len() {
            self.arcs.push(arc);
        }
        (number, false)
    }

    fn rebuild(self, coverage: &Coverage, lines: &[Arc], vertices: Vec<Coord<f64>>) -> Coverage {
        let ring = |pieces: &Vec<(usize, bool)>| {
            let mut ids = Vec::new();
            for &(number, backwards) in pieces {
                let mut line = lines.get(number).cloned().unwrap_or_default();
                if backwards {
                    line.reverse();
                }
                line.pop();
                ids.extend(line);
            }
            ids
        };
        let faces = coverage.faces.iter().zip(&self.rings).map(|(face, rings)| super::Face {
            class: face.class,
            exterior: rings.first().map(ring).unwrap_or_default(),
            holes: rings.iter().skip(1).map(ring).collect(),
        });
        Coverage { faces: faces.collect(), vertices }
    }
}
