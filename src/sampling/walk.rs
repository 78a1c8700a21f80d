use geo::Coord;

use super::generator::Generator;
use super::ground::squared;
use crate::units::Length;

/// Steps of comparison that the search may take in all: some seconds for a thousand points.
const EFFORT: usize = 150_000_000;
/// The most and the fewest times that a finished round is shaken and mended again.
const SHAKES: (usize, usize) = (4, 600);
/// A round must be shorter by so much to count, in meters: what is less is rounding.
const LEAST: f64 = 1e-7;

/// A way round all points and back.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk {
    /// The numbers of the points, in the order in which they are walked.
    pub order: Vec<usize>,
    /// How long it is, from the gate and back to it, as the crow flies.
    pub length: Length,
}

/// A short way round points: from the gate and back to it; without one, from the point farthest
/// south-west.
///
/// To the nearest neighbor each time, then parts of the way are turned round and short runs are moved
/// (2-opt, and Or-opt: I. Or, dissertation, Northwestern University, 1976) until neither shortens it;
/// then it is shaken by exchanging two neighboring parts and mended again, many times (O. Martin,
/// S. Otto, E. Felten, "Large-step Markov chains for the traveling salesman problem", *Complex
/// Systems* 5, 1991, 299-326). Not proven shortest, and straight: keep-outs are not walked round.
#[must_use]
pub fn walk(points: &[Coord<f64>], gate: Option<Coord<f64>>) -> Walk {
    let south_west = |at: &Coord<f64>| at.x + at.y;
    let corner = points.iter().min_by(|a, b| south_west(a).total_cmp(&south_west(b)));
    let Some(start) = gate.or(corner.copied()) else {
        return Walk { order: Vec::new(), length: Length::ZERO };
    };
    // The gate is a stop of its own, so that the round goes through it.
    let stops: Vec<Coord<f64>> = gate.into_iter().chain(points.iter().copied()).collect();
    let apart: Vec<Vec<f64>> = stops
        .iter()
        .map(|one| stops.iter().map(|other| squared(*one - *other).sqrt()).collect())
        .collect();
    let ways = Ways { apart };
    let first = stops.iter().position(|stop| *stop == start).unwrap_or(0);
    let mut round = ways.mended(ways.to_the_nearest(first));
    let mut length = ways.length(&round);
    let mut generator = Generator::new(17);
    let count = stops.len();
    let shakes = (EFFORT / (count * count * 6).max(1)).clamp(SHAKES.0, SHAKES.1);
    for _ in 0..if count < 5 { 0 } else { shakes } {
        let other = ways.mended(shaken(&round, &mut generator));
        let shorter = ways.length(&other);
        if shorter < length - LEAST {
            (round, length) = (other, shorter);
        }
    }
    let at = round.iter().position(|stop| *stop == first).unwrap_or(0);
    round.rotate_left(at);
    // The nearer end first; either way is as long.
    let end = |stop: Option<&usize>| stop.map_or(0.0, |stop| ways.between(first, *stop));
    if end(round.last()) < end(round.get(1)) {
        round.reverse();
        round.rotate_right(1);
    }
    let gates = usize::from(gate.is_some());
    let order = round.into_iter().filter_map(|stop| stop.checked_sub(gates)).collect();
    Walk { order, length: Length::metres(length) }
}

/// The distances between all stops.
struct Ways {
    apart: Vec<Vec<f64>>,
}

impl Ways {
    fn between(&self, one: usize, other: usize) -> f64 {
        self.apart.get(one).and_then(|row| row.get(other)).copied().unwrap_or(0.0)
    }

    fn length(&self, round: &[usize]) -> f64 {
        let next = round.iter().cycle().skip(1);
        round.iter().zip(next).map(|(one, other)| self.between(*one, *other)).sum()
    }

    fn to_the_nearest(&self, first: usize) -> Vec<usize> {
        let mut left: Vec<usize> = (0..self.apart.len()).filter(|stop| *stop != first).collect();
        let (mut round, mut here) = (vec![first], first);
        let way = |here: usize, stop: usize| self.between(here, stop);
        while let Some(at) = (0..left.len()).min_by(|a, b| {
            let of = |at: &usize| left.get(*at).map_or(f64::INFINITY, |stop| way(here, *stop));
            of(a).total_cmp(&of(b))
        }) {
            here = left.remove(at);
            round.push(here);
        }
        round
    }

    /// Neither a turn nor a move shortens it any more.
    fn mended(&self, mut round: Vec<usize>) -> Vec<usize> {
        while self.turned(&mut round) || self.carried(&mut round) {}
        round
    }

    /// Turns parts round while that shortens the way.
    fn turned(&self, round: &mut [usize]) -> bool {
        let count = round.len();
        let mut gained = false;
        for from in 0..count.saturating_sub(1) {
            for to in from + 1..count {
                let stop = |at: usize| round.get(at % count).copied().unwrap_or(0);
                let (before, first) = (stop(from + count - 1), stop(from));
                let (last, after) = (stop(to), stop(to + 1));
                if before == last {
                    continue;
                }
                let now = self.between(before, first) + self.between(last, after);
                let then = self.between(before, last) + self.between(first, after);
                if then < now - LEAST
                    && let Some(part) = round.get_mut(from..=to)
                {
                    part.reverse();
                    gained = true;
                }
            }
        }
        gained
    }

    /// Moves runs of up to three stops elsewhere, either way round, while that shortens the way.
    fn carried(&self, round: &mut Vec<usize>) -> bool {
        let count = round.len();
        let mut gained = false;
        for long in (1..=3).filter(|long| long + 2 <= count) {
            for from in 0..count {
                // With the run at the front, the rest is one open way.
                let at = |at: usize| round.get((from + at) % count).copied().unwrap_or(0);
                let (first, last) = (at(0), at(long - 1));
                let (before, after) = (at(count - 1), at(long));
                let out = self.between(before, first) + self.between(last, after)
                    - self.between(before, after);
                if out <= LEAST {
                    continue;
                }
                let mut best = (LEAST, 0, false);
                for gap in long..count - 1 {
                    let (one, other) = (at(gap), at(gap + 1));
                    let gone = self.between(one, other);
                    let straight = self.between(one, first) + self.between(last, other) - gone;
                    let turned = self.between(one, last) + self.between(first, other) - gone;
                    for (cost, is_turned) in [(straight, false), (turned, true)] {
                        if out - cost > best.0 {
                            best = (out - cost, gap, is_turned);
                        }
                    }
                }
                if best.1 > 0 {
                    round.rotate_left(from);
                    let mut run: Vec<usize> = round.drain(..long).collect();
                    if best.2 {
                        run.reverse();
                    }
                    let place = best.1 + 1 - long;
                    round.splice(place..place, run);
                    gained = true;
                }
            }
        }
        gained
    }
}

/// Two neighboring parts exchanged, each of at most fifty stops.
fn shaken(round: &[usize], generator: &mut Generator) -> Vec<usize> {
    const LONGEST: usize = 50;
    let count = round.len();
    let mut shaken = round.to_vec();
    shaken.rotate_left(generator.below(count));
    let longest = LONGEST.min((count - 1) / 2);
    let (one, other) = (1 + generator.below(longest), 1 + generator.below(longest));
    if let Some(parts) = shaken.get_mut(..one + other) {
        parts.rotate_left(one);
    }
    shaken
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scattered(count: usize, seed: u64) -> Vec<Coord<f64>> {
        let mut generator = Generator::new(seed);
        (0..count)
            .map(|_| Coord { x: 800.0 * generator.share(), y: 500.0 * generator.share() })
            .collect()
    }

    /// The shortest of all rounds, by going through all of them.
    fn shortest(points: &[Coord<f64>], gate: Coord<f64>) -> f64 {
        fn on(at: Coord<f64>, left: &mut Vec<Coord<f64>>, gate: Coord<f64>) -> f64 {
            let way = |to: Coord<f64>| squared(to - at).sqrt();
            if left.is_empty() {
                return way(gate);
            }
            let mut least = f64::INFINITY;
            for number in 0..left.len() {
                let next = left.remove(number);
                least = least.min(way(next) + on(next, left, gate));
                left.insert(number, next);
            }
            least
        }
        on(gate, &mut points.to_vec(), gate)
    }

    #[test]
    fn small_rounds_are_the_shortest() {
        for (count, seed) in
            [(1, 1), (2, 2), (3, 3), (4, 4), (5, 5), (6, 6), (7, 7), (8, 8), (8, 9)]
        {
            let points = scattered(count, seed);
            let gate = Coord { x: -20.0, y: 90.0 };
            let found = walk(&points, Some(gate));
            let known = shortest(&points, gate);
            assert!((found.length.as_metres() / known - 1.0).abs() < 1e-12, "{count} {seed}");
            let mut order = found.order.clone();
            order.sort_unstable();
            assert_eq!(order, (0..count).collect::<Vec<_>>());
        }
    }

    #[test]
    fn without_a_gate_it_starts_in_the_south_west() {
        let points = scattered(30, 3);
        let found = walk(&points, None);
        let sum = |at: &Coord<f64>| at.x + at.y;
        let first = points[found.order[0]];
        assert!(points.iter().all(|at| sum(at) >= sum(&first)));
        assert_eq!(walk(&[], None).order, Vec::<usize>::new());
    }
}
