//! Smooths and simplifies the borders inside a coverage, each once for both its sides.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Distance, Euclidean, Line as Segment, LineString, SimplifyIdx};
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree, RTreeObject};

use super::averaged::{Averaged, mean_near};
use super::borders::Borders;
use super::{Coverage, Face};

/// The least distance between borders, in meters: several times the millimeter to which positions
/// are written, so that rounding cannot make them touch.
const APART: f64 = 0.01;

/// How far places along a border count together, as a multiple of what the border may move: a
/// feature as narrow as twice that keeps a fifth of its height.
const SPREAD: f64 = 4.0 / 3.0;

/// The most that dropping vertices moves a border, in meters: half a foot.
const THINNED: f64 = 0.15;

/// Smooths the borders between faces that may change, and drops the vertices that are not needed.
///
/// The outline, other faces' borders and `fixed` vertices stay; where borders meet elsewhere, that
/// place moves with them. Each border is averaged along its
/// length and moves at most `tolerance` meters, those among them by which vertices
/// are dropped (Douglas and Peucker 1973, *Algorithms for the reduction of the number of points
/// required to represent a digitized line*, Cartographica 10:112). A border that would come upon
/// another, or itself, is smoothed by half as much, and after some such trials left as it was: the
/// coverage stays valid.
#[must_use]
pub fn smoothed(
    coverage: &Coverage,
    fixed: impl Fn(u32) -> bool,
    may_change: impl Fn(&Face) -> bool,
    tolerance: f64,
) -> Coverage {
    const TRIALS: u32 = 5;
    let mut borders = Borders::of(coverage, fixed, may_change);
    let original = borders.lines.clone();
    let mut trials: Vec<u32> = vec![0; original.len()];
    loop {
        let allowed = |line: usize| match trials.get(line) {
            Some(&trial) if trial < TRIALS && borders.free.get(line) == Some(&true) => {
                tolerance * 0.5_f64.powi(i32::try_from(trial).unwrap_or(0))
            }
            _ => 0.0,
        };
        let mut vertices = coverage.vertices.clone();
        for (id, place) in settled(&original, &borders.junctions, &coverage.vertices, allowed) {
            if let Some(slot) = vertices.get_mut(id as usize) {
                *slot = place;
            }
        }
        let lines: Vec<Vec<u32>> = (original.iter().enumerate())
            .map(|(number, line)| {
                let round = borders.round.get(number) == Some(&true);
                eased(line, round, &coverage.vertices, &mut vertices, allowed(number))
            })
            .collect();
        let mut close = too_close(&lines, &vertices);
        close.retain(|&number| allowed(number) > 0.0);
        if close.is_empty() {
            borders.lines = lines;
            return Coverage { vertices, faces: borders.faces(&coverage.faces) };
        }
        for number in close {
            if let Some(trial) = trials.get_mut(number) {
                *trial += 1;
            }
        }
    }
}

/// The lines that begin at a junction, and how far all of them may move.
struct Meeting {
    allowed: f64,
    lines: Vec<Vec<Coord<f64>>>,
}

/// Where junctions go: to the mean of what is near them along their borders, as far as the least
/// movable of these may move. A junction that stays where borders are smoothed around it would be a
/// beak.
fn settled(
    lines: &[Vec<u32>],
    junctions: &BTreeSet<u32>,
    original: &[Coord<f64>],
    allowed: impl Fn(usize) -> f64,
) -> Vec<(u32, Coord<f64>)> {
    let mut around: BTreeMap<u32, Meeting> = BTreeMap::new();
    let at = |id: &u32| original.get(*id as usize).copied().unwrap_or_default();
    for (number, line) in lines.iter().enumerate() {
        let places: Vec<Coord<f64>> = line.iter().map(at).collect();
        let mut from = |id: Option<&u32>, places: Vec<Coord<f64>>| {
            if let Some(id) = id.filter(|id| junctions.contains(id)) {
                let usual = || Meeting { allowed: f64::INFINITY, lines: Vec::new() };
                let meeting = around.entry(*id).or_insert_with(usual);
                meeting.allowed = meeting.allowed.min(allowed(number));
                meeting.lines.push(places);
            }
        };
        from(line.last(), places.iter().rev().copied().collect());
        from(line.first(), places);
    }
    let settle = |(id, Meeting { allowed, lines }): (u32, Meeting)| {
        let from = at(&id);
        let shift = mean_near(&lines, SPREAD * allowed)? - from;
        Some((id, from + limited(shift, allowed)))
    };
    around.into_iter().filter_map(settle).collect()
}

fn limited(shift: Coord<f64>, allowed: f64) -> Coord<f64> {
    let far = libm::hypot(shift.x, shift.y);
    if far > allowed { shift * (allowed / far) } else { shift }
}

/// A border smoothed and thinned, moved at most `allowed` meters in all.
fn eased(
    line: &[u32],
    closed: bool,
    original: &[Coord<f64>],
    vertices: &mut [Coord<f64>],
    allowed: f64,
) -> Vec<u32> {
    if line.len() < 3 || allowed <= 0.0 {
        return line.to_vec();
    }
    let mut start: Vec<Coord<f64>> =
        line.iter().filter_map(|&id| original.get(id as usize).copied()).collect();
    // The ends are where the junctions have gone.
    for (slot, id) in [(0, line.first()), (line.len() - 1, line.last())] {
        let place = id.and_then(|id| vertices.get(*id as usize));
        if let (Some(slot), Some(place), false) = (start.get_mut(slot), place, closed) {
            *slot = *place;
        }
    }
    let thinned = THINNED.min(0.5 * allowed);
    let mut places = Averaged::new(&start, SPREAD * allowed, closed).line(&start);
    let last = line.len() - 1;
    for (i, ((slot, from), &id)) in places.iter_mut().zip(&start).zip(line).enumerate() {
        // The ends stay to the last digit: other borders and the field's edge have them too.
        if !closed && (i == 0 || i == last) {
            *slot = *from;
            continue;
        }
        *slot = *from + limited(*slot - *from, allowed - thinned);
        if let Some(vertex) = vertices.get_mut(id as usize) {
            *vertex = *slot;
        }
    }
    let round = line.first() == line.last();
    needed(&places, thinned, round).into_iter().filter_map(|i| line.get(i).copied()).collect()
}

/// The places that Douglas and Peucker keep; of a closed line so many that it stays a ring.
fn needed(line: &[Coord<f64>], allowed: f64, closed: bool) -> Vec<usize> {
    if !closed {
        return LineString::new(line.to_vec()).simplify_idx(allowed);
    }
    // A closed line is cut at the vertex farthest from its start, and each half kept on its own.
    let start = line.first().copied().unwrap_or_default();
    let away = |at: &Coord<f64>| libm::hypot(at.x - start.x, at.y - start.y);
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

#[cfg(test)]
mod tests {
    use geo::{Area, Validation};

    use super::*;
    use crate::geometry::HalfEdge;

    /// A field of 200 by 100 m in two faces, with the line between them in its middle.
    fn halves(line: &[Coord<f64>]) -> Coverage {
        let corners = [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)];
        let mut vertices: Vec<Coord<f64>> = corners.map(|(x, y)| Coord { x, y }).to_vec();
        vertices.extend(line);
        let last = u32::try_from(vertices.len() - 1).unwrap();
        let walk = |class: u32, ids: Vec<u32>| {
            let next = ids.clone().into_iter().cycle().skip(1);
            ids.into_iter().zip(next).map(move |(from, to)| HalfEdge { class, from, to })
        };
        let below = [0, 1].into_iter().chain((4..=last).rev()).collect();
        let above = (4..=last).chain([2, 3]).collect();
        Coverage::from_half_edges(vertices, walk(0, below).chain(walk(1, above)).collect())
    }

    fn is_sound(coverage: &Coverage) {
        let areas = coverage.faces.iter().map(|face| {
            let polygon = coverage.plane_polygon(face);
            assert!(polygon.is_valid());
            polygon.unsigned_area()
        });
        assert!((areas.sum::<f64>() - 20_000.0).abs() < 1e-6);
    }

    /// Teeth of 3 m every 6 m under a tolerance of 4.5 m, a quarter of a swath of 18 m.
    #[test]
    fn teeth_narrower_than_half_a_swath_go() {
        let tooth = |i: u32| Coord {
            x: f64::from(i) * 3.0,
            y: if i.is_multiple_of(2) { 48.5 } else { 51.5 },
        };
        let mut line: Vec<Coord<f64>> = (0..67).map(tooth).collect();
        line.push(Coord { x: 200.0, y: 50.0 });
        let before = halves(&line);
        let after = smoothed(&before, |id| id < 4, |_| true, 4.5);
        is_sound(&after);
        let ids: BTreeSet<u32> = after.faces.iter().flat_map(Face::edges).flatten().collect();
        assert!(ids.len() < 25, "{} vertices", ids.len());
        for at in ids.iter().filter(|id| **id >= 4).map(|id| after.vertices[*id as usize]) {
            let is_end = at.x < 15.0 || at.x > 185.0;
            assert!((at.y - 50.0).abs() < if is_end { 1.6 } else { 0.2 }, "{at:?}");
        }
        // The ends are on the field's edge.
        for id in [4, 71] {
            assert_eq!(after.vertices[id], before.vertices[id]);
        }
    }

    /// A bend of 60 m is wider than half a swath: it is driven as it is.
    #[test]
    fn wide_bends_stay() {
        let bend = |i: u32| f64::from(i) * 200.0 / 100.0;
        let line: Vec<Coord<f64>> = (0..=100)
            .map(bend)
            .map(|x| Coord { x, y: 50.0 + 10.0 * (x / 200.0 * 3.0 * std::f64::consts::TAU).sin() })
            .collect();
        let before = halves(&line);
        let after = smoothed(&before, |id| id < 4, |_| true, 4.5);
        is_sound(&after);
        let ids: BTreeSet<u32> = after.faces.iter().flat_map(Face::edges).flatten().collect();
        for id in ids {
            let shift = after.vertices[id as usize] - before.vertices[id as usize];
            assert!(shift.x.hypot(shift.y) < 0.5, "{shift:?}");
        }
    }
}
