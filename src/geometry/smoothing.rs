//! Smooths and simplifies the borders inside a coverage, each once for both its sides.

use std::collections::BTreeSet;

use geo::{Coord, Distance, Euclidean, Line as Segment, LineString, SimplifyIdx};
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree, RTreeObject};

use super::borders::Borders;
use super::{Coverage, Face};

/// The least distance between borders, in meters: several times the millimeter to which positions
/// are written, so that rounding cannot make them touch.
const APART: f64 = 0.01;

/// Smooths the borders between faces that may change, and drops the vertices that are not needed.
///
/// The outline, other faces' borders and `fixed` vertices stay. Each free vertex is averaged with
/// its neighbors along the border and moves at most half of `tolerance` meters; then those are
/// dropped without which the line stays within the other half (Douglas and Peucker 1973,
/// *Algorithms for the reduction of the number of points required to represent a digitized line*,
/// Cartographica 10:112). A border that would come upon another, or itself, is smoothed by half as
/// much, and after three such trials left as it was: the coverage stays valid.
#[must_use]
pub fn smoothed(
    coverage: &Coverage,
    fixed: impl Fn(u32) -> bool,
    may_change: impl Fn(&Face) -> bool,
    tolerance: f64,
) -> Coverage {
    const TRIALS: u32 = 3;
    let mut borders = Borders::of(coverage, fixed, may_change);
    let original = borders.lines.clone();
    let mut vertices = coverage.vertices.clone();
    let mut trials: Vec<u32> = vec![0; original.len()];
    let mut again: BTreeSet<usize> =
        borders.free.iter().enumerate().filter(|(_, free)| **free).map(|(i, _)| i).collect();
    while !again.is_empty() {
        for &number in &again {
            let (Some(line), Some(before)) = (borders.lines.get_mut(number), original.get(number))
            else {
                continue;
            };
            for &id in before {
                copy(&coverage.vertices, &mut vertices, id);
            }
            let trial = trials.get(number).copied().unwrap_or(TRIALS);
            *line = if trial < TRIALS {
                let allowed = 0.5 * tolerance * 0.5_f64.powi(i32::try_from(trial).unwrap_or(0));
                eased(before, &coverage.vertices, &mut vertices, allowed)
            } else {
                before.clone()
            };
        }
        again = too_close(&borders.lines, &vertices);
        again.retain(|&number| {
            let free = borders.free.get(number).copied().unwrap_or(false);
            trials.get_mut(number).filter(|trial| free && **trial < TRIALS).is_some_and(|trial| {
                *trial += 1;
                true
            })
        });
    }
    let faces = borders.faces(&coverage.faces);
    Coverage { vertices, faces }
}

fn copy(from: &[Coord<f64>], to: &mut [Coord<f64>], id: u32) {
    if let (Some(slot), Some(at)) = (to.get_mut(id as usize), from.get(id as usize)) {
        *slot = *at;
    }
}

/// A border with its inner vertices averaged and the needless ones dropped, each step moving it at
/// most `allowed` meters.
fn eased(
    line: &[u32],
    original: &[Coord<f64>],
    vertices: &mut [Coord<f64>],
    allowed: f64,
) -> Vec<u32> {
    const PASSES: usize = 4;
    if line.len() < 3 {
        return line.to_vec();
    }
    let start: Vec<Coord<f64>> =
        line.iter().filter_map(|&id| original.get(id as usize).copied()).collect();
    let closed = line.first() == line.last();
    let mut places = start.clone();
    for _ in 0..PASSES {
        let last = places.clone();
        let count = last.len();
        let at = |i: usize| last.get(i).copied().unwrap_or_default();
        for (i, slot) in places.iter_mut().enumerate() {
            let end = i == 0 || i + 1 == count;
            if end && !closed {
                continue;
            }
            let before = if i == 0 { at(count - 2) } else { at(i - 1) };
            let after = if i + 1 == count { at(1) } else { at(i + 1) };
            *slot = before * 0.25 + at(i) * 0.5 + after * 0.25;
        }
    }
    for ((slot, from), &id) in places.iter_mut().zip(&start).zip(line) {
        let shift = *slot - *from;
        let far = shift.x.hypot(shift.y);
        if far > allowed {
            *slot = *from + shift * (allowed / far);
        }
        if let Some(vertex) = vertices.get_mut(id as usize) {
            *vertex = *slot;
        }
    }
    needed(&places, allowed, closed).into_iter().filter_map(|i| line.get(i).copied()).collect()
}

/// The places that Douglas and Peucker keep; of a closed line so many that it stays a ring.
fn needed(line: &[Coord<f64>], allowed: f64, closed: bool) -> Vec<usize> {
    if !closed {
        return LineString::new(line.to_vec()).simplify_idx(allowed);
    }
    // A closed line is cut at the vertex farthest from its start, and each half kept on its own.
    let start = line.first().copied().unwrap_or_default();
    let away = |at: &Coord<f64>| (at.x - start.x).hypot(at.y - start.y);
    let far = line.iter().enumerate().max_by(|a, b| away(a.1).total_cmp(&away(b.1)));
    let far = far.map_or(0, |(i, _)| i);
    let half = |from: usize, to: usize| -> Vec<usize> {
        let part = line.get(from..=to).unwrap_or_default().to_vec();
        LineString::new(part).simplify_idx(allowed).into_iter().map(|i| i + from).collect()
    };
    let mut keep = half(0, far);
    keep.extend(half(far, line.len() - 1).into_iter().skip(1));
    if keep.len() < 5 { (0..line.len()).collect() } else { keep }
}

/// The borders that come too close to another or to themselves.
fn too_close(lines: &[Vec<u32>], vertices: &[Coord<f64>]) -> BTreeSet<usize> {
    let at = |id: u32| vertices.get(id as usize).copied().unwrap_or_default();
    let segment = |a: u32, b: u32, line: usize| {
        let (from, to) = (at(a), at(b));
        GeomWithData::new(Line::new([from.x, from.y], [to.x, to.y]), ([a, b], line))
    };
    let segments = lines.iter().enumerate().flat_map(|(number, line)| {
        line.iter().zip(line.iter().skip(1)).map(move |(&a, &b)| (a, b, number))
    });
    let tree = RTree::bulk_load(segments.map(|(a, b, line)| segment(a, b, line)).collect());
    let mut close = BTreeSet::new();
    for one in &tree {
        let envelope: AABB<[f64; 2]> = one.geom().envelope();
        let ([west, south], [east, north]) = (envelope.lower(), envelope.upper());
        let wide = AABB::from_corners([west - APART, south - APART], [east + APART, north + APART]);
        for other in tree.locate_in_envelope_intersecting(&wide) {
            let ((ends, line), (other_ends, other_line)) = (one.data, other.data);
            if (ends, line) < (other_ends, other_line) && near(ends, other_ends, &at) {
                close.extend([line, other_line]);
            }
        }
    }
    close
}

/// Whether two segments come near each other anywhere but at an end that they share.
fn near(one: [u32; 2], other: [u32; 2], at: &impl Fn(u32) -> Coord<f64>) -> bool {
    let segment = |[a, b]: [u32; 2]| Segment::new(at(a), at(b));
    let free = |ends: [u32; 2], others: [u32; 2]| ends.into_iter().find(|id| !others.contains(id));
    match (free(one, other), free(other, one)) {
        // The same two vertices: one line walked twice.
        (None, _) | (_, None) => true,
        (Some(a), Some(b)) if one.iter().any(|id| other.contains(id)) => {
            let gap = |id: u32, ends| Euclidean.distance(&geo::Point(at(id)), &segment(ends));
            gap(a, other) < APART || gap(b, one) < APART
        }
        _ => Euclidean.distance(&segment(one), &segment(other)) < APART,
    }
}
