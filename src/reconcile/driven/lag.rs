//! How long a rate is behind the map.

use geo::Coord;

use crate::timelog::Drive;

/// The lags that are tried, in seconds: from a controller that looks ahead to a spreader that is
/// slow (a change takes 3 to 5 s, University of Georgia Extension 2024), in steps of a tenth.
const LEAST: f64 = -4.0;
const MOST: f64 = 10.0;
const STEP: f64 = 0.1;
/// The longest stretch that is looked at, in steps: a day of driving.
const LONGEST: usize = 864_000;
/// The least changes of the map that a lag may rest on, and the least share of the rate's variance
/// that the map with that lag has to explain (common practice, no source).
const CHANGES: usize = 5;
const EXPLAINED: f64 = 0.5;

/// How far rates are behind the map, in seconds: below 0 they are ahead.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lag {
    /// The rate that was set.
    pub set: Option<f64>,
    /// The rate that was measured.
    pub actual: Option<f64>,
    /// How many changes of the map the machine drove over.
    pub changes: usize,
}

impl Lag {
    /// How far the measured rate is behind the set one.
    #[must_use]
    pub fn delay(&self) -> Option<f64> {
        Some(self.actual? - self.set?)
    }
}

/// Sums over all samples, a lag each.
#[derive(Default)]
struct Sums {
    samples: f64,
    rate: f64,
    rate2: f64,
    /// For each lag the products of rate and map, and of the map with itself.
    lags: Vec<[f64; 2]>,
}

/// The lags of a machine over all of its drives; `map` gives the planned rate at a place.
///
/// A rate that rises from one plateau to the next around a time t after the border fits the map best
/// when that is moved by t: the squares of what is between them are least where the rate is half
/// way. So the lag is the time to half of a change, whatever the ramp. The rate may be off the map by
/// one factor all along, as when the constant is off. Only samples count around which the machine
/// spread without a break on planned ground and the map changed.
pub(super) fn lag(drives: &[&Drive], map: impl Fn(Coord<f64>) -> Option<f64>) -> Lag {
    let (mut set, mut actual) = (Sums::default(), Sums::default());
    let mut changes = 0;
    for drive in drives {
        for stretch in stretches(drive) {
            changes += on_a_stretch(drive, &stretch, &map, &mut [&mut set, &mut actual]);
        }
    }
    if changes < CHANGES {
        return Lag { changes, ..Lag::default() };
    }
    Lag { set: set.best(), actual: actual.best(), changes }
}

/// A pose with what was spread from it on: its place among the poses, and the mean of the rates set
/// and measured, if anything was.
type Sample = (usize, Option<[Option<f64>; 2]>);

/// The drive's poses, cut where it begins anew.
fn stretches(drive: &Drive) -> Vec<Vec<Sample>> {
    let mut stretches: Vec<Vec<Sample>> = vec![Vec::new()];
    drive.steps(|step| {
        if step.to.begins {
            stretches.push(Vec::new());
            return;
        }
        let area: f64 = step.strips.iter().map(|strip| strip.area).sum();
        let mean = |pick: &dyn Fn(&crate::timelog::Strip) -> Option<f64>| {
            let parts = step.strips.iter().map(|strip| Some(pick(strip)? * strip.area));
            parts.sum::<Option<f64>>().map(|sum| sum / area)
        };
        let rates =
            (area > 0.0).then(|| [mean(&|strip| strip.set), mean(&|strip| Some(strip.rate))]);
        if let Some(last) = stretches.last_mut() {
            last.push((step.order, rates));
        }
    });
    stretches
}

/// Adds the samples of a stretch to the sums; how many changes of the map it drove over.
fn on_a_stretch(
    drive: &Drive,
    stretch: &[Sample],
    map: &impl Fn(Coord<f64>) -> Option<f64>,
    sums: &mut [&mut Sums; 2],
) -> usize {
    let pose = |order: usize| drive.poses.get(order);
    let (Some(first), Some(last)) = (stretch.first(), stretch.last()) else { return 0 };
    let (Some(begin), Some(end)) = (pose(first.0), pose(last.0 + 1)) else { return 0 };
    let ticks = index((end.time - begin.time) / STEP);
    if ticks > LONGEST {
        return 0;
    }
    // The planned rate at the swath's middle, a tick of time each, where the machine spread.
    let mut planned: Vec<Option<f64>> = Vec::with_capacity(ticks + 1);
    for (order, rates) in stretch {
        let (Some(from), Some(to)) = (pose(*order), pose(order + 1)) else { continue };
        let (here, there) = (drive.middle(from), drive.middle(to));
        while planned.len() as f64 * STEP < to.time - begin.time {
            let time = planned.len() as f64 * STEP + begin.time;
            let share = (time - from.time) / (to.time - from.time);
            planned.push(rates.and_then(|_| map(here + (there - here) * share)));
        }
    }
    // How many ticks up to each have no planned rate, and how many another than the one before.
    let (mut none, mut other) = (vec![0_usize], vec![0_usize]);
    let mut changes = 0;
    for (tick, rate) in planned.iter().enumerate() {
        let before = tick.checked_sub(1).and_then(|tick| planned.get(tick).copied()).flatten();
        let differs = rate.zip(before).is_some_and(|(rate, before)| rate != before);
        changes += usize::from(differs);
        none.push(none.last().copied().unwrap_or(0) + usize::from(rate.is_none()));
        other.push(other.last().copied().unwrap_or(0) + usize::from(differs));
    }
    for (order, rates) in stretch {
        let (Some(pose), Some(rates)) = (pose(*order), rates) else { continue };
        let now = (pose.time - begin.time) / STEP;
        let (from, to) = (now - MOST / STEP, now - LEAST / STEP);
        if from < 0.0 || to >= planned.len() as f64 {
            continue;
        }
        let (from, to) = (index(from), index(to) + 1);
        let within = |sums: &[usize]| Some(sums.get(to)? - sums.get(from)?);
        if within(&none) != Some(0) || within(&other).is_none_or(|changes| changes == 0) {
            continue;
        }
        for (sums, rate) in sums.iter_mut().zip(rates) {
            if let Some(rate) = rate {
                sums.add(*rate, now, &planned);
            }
        }
    }
    changes
}

impl Sums {
    fn add(&mut self, rate: f64, now: f64, planned: &[Option<f64>]) {
        self.samples += 1.0;
        self.rate += rate;
        self.rate2 += rate * rate;
        self.lags.resize(index((MOST - LEAST) / STEP) + 1, [0.0; 2]);
        for (number, [both, own]) in self.lags.iter_mut().enumerate() {
            let tick = now - (LEAST / STEP + number as f64);
            let map = planned.get(index(tick + 0.5)).copied().flatten().unwrap_or(0.0);
            *both += rate * map;
            *own += map * map;
        }
    }

    /// The lag that fits best, in seconds, if it fits at all.
    fn best(&self) -> Option<f64> {
        let missed: Vec<f64> = self
            .lags
            .iter()
            .map(|[both, own]| self.rate2 - if *own > 0.0 { both * both / own } else { 0.0 })
            .collect();
        let least = (0..missed.len()).min_by(|a, b| {
            let at = |place: &usize| missed.get(*place).copied().unwrap_or(f64::INFINITY);
            at(a).total_cmp(&at(b))
        })?;
        let variance = self.rate2 - self.rate * self.rate / self.samples;
        let at = |place: Option<usize>| place.and_then(|place| missed.get(place)).copied();
        let here = at(Some(least))?;
        // A best lag at the end of those tried is none.
        let (before, after) = (at(least.checked_sub(1))?, at(Some(least + 1))?);
        if variance <= 0.0 || here > (1.0 - EXPLAINED) * variance {
            return None;
        }
        // Between the steps by the parabola through three of them.
        let bend = before - 2.0 * here + after;
        let shift = if bend > 0.0 { 0.5 * (before - after) / bend } else { 0.0 };
        Some(LEAST + STEP * (least as f64 + shift))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "ticks of a day at the most; below 0 becomes 0"
)]
fn index(value: f64) -> usize {
    value as usize
}
