use std::collections::BTreeSet;

use geo::Coord;

use super::ground::LandingGround;
use super::line_crossings::crossings;
use super::runs::{Run, SpreadPart};

/// A stretch of time at one rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// From when, in seconds; until the next one.
    pub from: f64,
    /// kg/m2.
    pub rate: f64,
}

/// What the map asks for along a run, by the time at which the antenna is there: nothing before the
/// first stretch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prescription {
    /// In their order.
    pub stretches: Vec<Stretch>,
}

impl Prescription {
    /// What the zones ask for along a run.
    #[must_use]
    pub fn of(ground: &LandingGround, run: &Run) -> Self {
        let mut stretches: Vec<Stretch> = Vec::new();
        let mut end = None;
        for leg in run.places.windows(2) {
            let [(from, start), (to, arrival)] = leg else { continue };
            let length = libm::hypot(to.x - from.x, to.y - from.y);
            if length <= 0.0 {
                continue;
            }
            let slowness = (arrival - start) / length;
            for (at, rate) in along(ground, [*from, *to], length, run.over) {
                let same = stretches.last().is_some_and(|last| last.rate == rate);
                if !same {
                    stretches.push(Stretch { from: start + at * slowness, rate });
                }
            }
            end = Some(*arrival);
        }
        // Where the run ends, the belt stops.
        if let Some(from) = end.filter(|_| stretches.last().is_some_and(|last| last.rate > 0.0)) {
            stretches.push(Stretch { from, rate: 0.0 });
        }
        Self { stretches }
    }
}

/// From where on a line which rate holds, from its start.
fn along(
    ground: &LandingGround,
    line: [Coord<f64>; 2],
    length: f64,
    over: SpreadPart,
) -> Vec<(f64, f64)> {
    let mut changes: Vec<(f64, Option<usize>)> = Vec::new();
    for (number, patch) in ground.patches().iter().enumerate() {
        if patch.rate > 0.0 && patch.meets(line) {
            let ends = crossings(patch.edges().iter().copied(), line);
            changes.extend(ends.into_iter().map(|at| (at, Some(number))));
        }
    }
    if over == SpreadPart::Inside {
        let ends = crossings(ground.inside().iter().copied(), line);
        changes.extend(ends.into_iter().map(|at| (at, None)));
    }
    changes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut open = over == SpreadPart::Field;
    let mut under = BTreeSet::new();
    let mut found = vec![(0.0, 0.0)];
    for (i, &(at, border)) in changes.iter().enumerate() {
        match border {
            None => open = !open,
            Some(number) if !under.remove(&number) => _ = under.insert(number),
            Some(_) => {}
        }
        let until = changes.get(i + 1).map_or(length, |next| next.0);
        let at = at.max(0.0);
        if at < until && at < length {
            let patch = under.first().filter(|_| open).and_then(|&n| ground.patches().get(n));
            if at == 0.0 {
                found.clear();
            }
            found.push((at, patch.map_or(0.0, |patch| patch.rate)));
        }
    }
    found
}
