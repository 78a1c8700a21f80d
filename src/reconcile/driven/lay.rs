//! Lays the drives on a field: what its zones got.

use std::collections::BTreeSet;

use geo::Coord;

use super::ground::FieldSquares;
use crate::timelog::{Drive, Step, Strip};

/// What a field got, zone by zone where there are several figures; in SI units.
#[derive(Debug, Default)]
pub(super) struct LaidOnField {
    /// By the zones, in their order.
    pub zones: Vec<LaidOnZone>,
    /// Ground speeds while spreading, each with its seconds.
    pub speeds: Vec<(f64, f64)>,
    /// The days, as year-month-day.
    pub days: BTreeSet<String>,
    /// The machines and the logs, by number.
    pub machines: BTreeSet<usize>,
    pub logs: BTreeSet<usize>,
}

/// What a zone got.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct LaidOnZone {
    /// By rate and ground, in kg.
    pub mass: f64,
    /// What was set on the same ground, and the ground on which anything was.
    pub set: f64,
    pub set_area: f64,
    /// By the counts of mass, in kg.
    pub counted: f64,
    /// By width and way, in m².
    pub area: f64,
    /// By the counts of ground, in m².
    pub worked: f64,
}

/// What of a drive lies in no field yet, a step each.
pub(super) struct StepsLeft {
    /// Each step's m² and kg, of all strips.
    pub steps: Vec<[f64; 2]>,
}

impl StepsLeft {
    pub fn of(drive: &Drive) -> Self {
        let mut rest = Self { steps: Vec::new() };
        drive.steps(|step| {
            let area = step.strips.iter().map(|strip| strip.area).sum();
            let mass = step.strips.iter().map(|strip| strip.area * strip.rate).sum();
            rest.steps.push([area, mass]);
        });
        rest
    }

    /// What lies in no field, in m² and kg.
    pub fn off(&self) -> [f64; 2] {
        self.steps.iter().fold([0.0; 2], |[area, mass], [more_area, more_mass]| {
            [area + more_area.max(0.0), mass + more_mass.max(0.0)]
        })
    }
}

/// What the counts did not count yet: the kg and m² of the strips, by zone and elsewhere.
struct Pending {
    zones: Vec<[f64; 2]>,
    elsewhere: [f64; 2],
}

impl Pending {
    /// Shares out what a count went on by over what was spread since, and begins anew.
    fn settle(&mut self, which: usize, more: f64, mut give: impl FnMut(usize, f64)) {
        let part = |both: &[f64; 2]| both.get(which).copied().unwrap_or(0.0);
        let all: f64 = self.zones.iter().map(part).sum::<f64>() + part(&self.elsewhere);
        if all > 0.0 {
            for (number, zone) in self.zones.iter().enumerate() {
                give(number, more * part(zone) / all);
            }
        }
        for both in self.zones.iter_mut().chain([&mut self.elsewhere]) {
            if let Some(slot) = both.get_mut(which) {
                *slot = 0.0;
            }
        }
    }
}

/// Lays one drive on a field. A strip's mass is its rate times its width times the machine's way, and
/// lies on the squares that it covers in equal parts; each square keeps how often it was covered.
pub(super) fn lay(
    drive: &Drive,
    log: usize,
    ground: &mut FieldSquares,
    laid: &mut LaidOnField,
    rest: &mut StepsLeft,
) {
    let zones = laid.zones.len();
    let mut pending = Pending { zones: vec![[0.0; 2]; zones], elsewhere: [0.0; 2] };
    let mut hits = vec![0_usize; zones];
    let mut last_day = None;
    drive.steps(|step| {
        let mut touched = false;
        for strip in step.strips {
            let both = [strip.area * strip.rate, strip.area];
            let share = on_a_strip(strip, ground, laid, &mut pending, &mut hits);
            touched |= share > 0.0;
            for (elsewhere, whole) in pending.elsewhere.iter_mut().zip(both) {
                *elsewhere += whole * (1.0 - share);
            }
            if let Some([area, mass]) = rest.steps.get_mut(step.order) {
                *area -= strip.area * share;
                *mass -= strip.area * strip.rate * share;
            }
        }
        if step.gained > 0.0 {
            pending.settle(0, step.gained, |zone, share| {
                add(laid, zone, |on| on.counted += share);
            });
        }
        if step.worked > 0.0 {
            pending.settle(1, step.worked, |zone, share| {
                add(laid, zone, |on| on.worked += share);
            });
        }
        if touched {
            remember(drive, log, step, &mut last_day, laid);
        }
    });
}

/// The share of a strip that lies in the field's zones.
fn on_a_strip(
    strip: &Strip,
    ground: &mut FieldSquares,
    laid: &mut LaidOnField,
    pending: &mut Pending,
    hits: &mut [usize],
) -> f64 {
    let [a, b, c, d] = strip.corners;
    let bound = |pick: fn(f64, f64) -> f64| Coord {
        x: pick(pick(a.x, b.x), pick(c.x, d.x)),
        y: pick(pick(a.y, b.y), pick(c.y, d.y)),
    };
    if !ground.may_touch(bound(f64::min), bound(f64::max)) {
        return 0.0;
    }
    let mut runs = Vec::new();
    let mut all = ground.over(&strip.corners, |run| runs.push(run));
    for run in runs {
        for zone in ground.zones_of(run.clone()) {
            if let Some(slot) = hits.get_mut(zone) {
                *slot += 1;
            }
        }
        ground.spread(run, strip.rate);
    }
    // A strip that is too small for any square lies where its middle is.
    if all == 0 {
        all = 1;
        if let Some(slot) =
            ground.zone_at((a + b + c + d) / 4.0).and_then(|zone| hits.get_mut(zone))
        {
            *slot = 1;
        }
    }
    let mut sum = 0.0;
    for (zone, hits) in hits.iter_mut().enumerate().filter(|(_, hits)| **hits > 0) {
        let share = *hits as f64 / all as f64;
        *hits = 0;
        sum += share;
        let area = strip.area * share;
        add(laid, zone, |on| {
            on.mass += area * strip.rate;
            on.area += area;
            if let Some(set) = strip.set {
                on.set += area * set;
                on.set_area += area;
            }
        });
        if let Some([mass, ground]) = pending.zones.get_mut(zone) {
            *mass += area * strip.rate;
            *ground += area;
        }
    }
    sum
}

fn add(laid: &mut LaidOnField, zone: usize, change: impl FnOnce(&mut LaidOnZone)) {
    if let Some(on) = laid.zones.get_mut(zone) {
        change(on);
    }
}

/// Keeps when and by whom a field was spread on, and how fast.
fn remember(
    drive: &Drive,
    log: usize,
    step: &Step,
    last_day: &mut Option<u64>,
    laid: &mut LaidOnField,
) {
    laid.speeds.push((step.speed, step.to.time - step.from.time));
    laid.machines.insert(drive.machine.number);
    laid.logs.insert(log);
    if let Some(stamp) = drive.log.stamps.get(step.from.record) {
        let day = stamp.time / 86_400_000;
        if *last_day != Some(day) {
            *last_day = Some(day);
            laid.days.insert(stamp.day());
        }
    }
}
