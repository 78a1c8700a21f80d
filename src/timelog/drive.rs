//! A machine's log as steps: between two positions, what each section did.

use geo::Coord;

use super::{Log, LoggedMachine, MassSource, Pose, Section, State, ValueChange};
use crate::units::{Length, Quantity};

/// Wider than this no section is, in meters.
const WIDEST: f64 = 100.0;
/// A pause that takes the machine farther than this has left something out, in meters.
const AWAY: f64 = 2.0;
/// Milligrams in a kilogram.
const MILLIGRAMS: f64 = 1e6;

/// A machine's way in one log.
pub struct Drive<'a> {
    /// The log.
    pub log: &'a Log,
    /// The machine.
    pub machine: &'a LoggedMachine,
    /// In a frame's meters.
    pub poses: &'a [Pose],
    /// What the machine's mass is known by.
    pub by: MassSource,
    /// The swath where the log has no width.
    swath: Option<Length>,
    /// For each pose the rate until the next by the counts of mass, in kg/m², if those alone tell it.
    counted: Vec<f64>,
}

/// From one position to the next.
pub struct Step<'a> {
    /// The place of the first position among all.
    pub order: usize,
    /// The first position.
    pub from: &'a Pose,
    /// The second.
    pub to: &'a Pose,
    /// What was spread on.
    pub strips: &'a [Strip],
    /// Whether the log says that no section was on.
    pub is_off: bool,
    /// By how much the counts of mass went on, in kg.
    pub gained: f64,
    /// By how much the counts of ground went on, in m².
    pub worked: f64,
    /// Over the ground, in m/s.
    pub speed: f64,
    /// How far it went without a record, though it was spreading, in meters.
    pub gap: Option<f64>,
}

/// What one section spread on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// Left and right behind, right and left ahead, in meters.
    pub corners: [Coord<f64>; 4],
    /// Its width times the way of the machine, in m².
    pub area: f64,
    /// In kg/m².
    pub rate: f64,
    /// What was set, in kg/m².
    pub set: Option<f64>,
}

impl<'a> Drive<'a> {
    /// None where the log has no mass of the machine.
    #[must_use]
    pub fn new(
        log: &'a Log,
        machine: &'a LoggedMachine,
        poses: &'a [Pose],
        swath: Option<Length>,
    ) -> Option<Self> {
        let by = machine.by()?;
        let mut drive = Self { log, machine, poses, by, swath, counted: Vec::new() };
        if by == MassSource::Totals {
            drive.counted = drive.by_counts();
        }
        Some(drive)
    }

    /// The rate at each pose by the counts: what a count goes on by was spread since it last did.
    fn by_counts(&self) -> Vec<f64> {
        let mut rates = vec![0.0; self.poses.len()];
        let (mut first, mut area) = (0, 0.0);
        self.steps(|step| {
            area += step.strips.iter().map(|strip| strip.area).sum::<f64>();
            if step.gained > 0.0 {
                let rate = if area > 0.0 { step.gained / area } else { 0.0 };
                rates.get_mut(first..=step.order).unwrap_or(&mut []).fill(rate);
                (first, area) = (step.order + 1, 0.0);
            }
        });
        rates
    }

    /// Calls `each` for every step, in order.
    pub fn steps(&self, mut each: impl FnMut(&Step)) {
        let mut state = State::before(self.log);
        let mut strips = Vec::new();
        for (order, pair) in self.poses.windows(2).enumerate() {
            let [from, to] = pair else { continue };
            let (mut gained, mut worked) = (0.0, 0.0);
            let mut count = |change: ValueChange, before: Option<i32>| {
                let Some(more) = before.map(|before| f64::from(change.value) - f64::from(before))
                else {
                    return;
                };
                let total =
                    self.machine.totals.iter().find(|total| total.channel == change.channel);
                if let Some(total) = total {
                    gained += total.each * (if total.falls { -more } else { more }).max(0.0);
                } else if self.machine.areas.contains(&change.channel) {
                    worked += more.max(0.0);
                }
            };
            // What holds while the machine moves is what the last record before its next place has.
            state.go_to(to.record.saturating_sub(1), &mut count);
            strips.clear();
            let way = to.at - from.at;
            let way = libm::hypot(way.x, way.y);
            let mut gap = None;
            self.strips(&state, order, [from, to], &mut strips);
            if to.begins {
                let spreading = strips.iter().any(|strip| strip.rate > 0.0);
                gap = (spreading && way > AWAY).then_some(way);
                strips.clear();
            }
            let logged = self.machine.speed.and_then(|speed| state.get(speed));
            let logged = logged.map(|speed| f64::from(speed).abs() / 1000.0);
            let is_off = self.machine.sections.iter().all(|one| one.is_on(&state) == Some(false));
            state.go_to(to.record, &mut count);
            let speed = logged.unwrap_or(way / (to.time - from.time));
            each(&Step { order, from, to, strips: &strips, is_off, gained, worked, speed, gap });
        }
    }

    /// What the sections spread on from one pose to the next.
    fn strips(&self, state: &State, order: usize, [from, to]: [&Pose; 2], strips: &mut Vec<Strip>) {
        let way = to.at - from.at;
        let way = libm::hypot(way.x, way.y);
        let seconds = to.time - from.time;
        let number = |channel: Option<u8>| channel.and_then(|channel| state.get(channel));
        let positive = |channel| {
            number(channel).filter(|value| *value >= 0).map(|value| f64::from(value) / MILLIGRAMS)
        };
        let width = |section: &Section| {
            let width = section.width.at(state).or(self.swath).map_or(0.0, Length::si);
            if (0.0..=WIDEST).contains(&width) { width } else { 0.0 }
        };
        let sections = self.machine.sections.iter();
        let on = sections.filter(|section| section.is_on(state) != Some(false));
        let all: f64 = on.clone().map(width).sum();
        let backward = number(self.machine.speed).is_some_and(|speed| speed < 0);
        for section in on {
            let (set, width) = (positive(section.set), width(section));
            let flow = |flow: f64, width: f64| {
                if way > 0.0 && width > 0.0 { flow * seconds / (way * width) } else { 0.0 }
            };
            let rate = match self.by {
                MassSource::Rate => positive(section.actual),
                MassSource::Flow => match positive(section.flow) {
                    Some(own) => Some(flow(own, width)),
                    None => positive(self.machine.flow).map(|whole| flow(whole, all)),
                },
                // While the counts are added up every section counts that is not known to be off.
                MassSource::Totals if self.counted.is_empty() => Some(f64::MIN_POSITIVE),
                MassSource::Totals => self.counted.get(order).copied(),
                MassSource::Set => set,
            };
            let Some(rate) = rate.filter(|rate| *rate > 0.0 && width > 0.0) else { continue };
            let sign = if backward { -1.0 } else { 1.0 };
            let ends = |pose: &Pose| {
                let ahead = pose.heading * sign;
                let right = Coord { x: ahead.y, y: -ahead.x };
                let middle = pose.at + ahead * section.ahead.si() + right * section.right.si();
                [middle - right * (0.5 * width), middle + right * (0.5 * width)]
            };
            let ([left, right], [far_left, far_right]) = (ends(from), ends(to));
            let corners = [left, right, far_right, far_left];
            strips.push(Strip { corners, area: width * way, rate, set });
        }
    }

    /// The middle of the swath at a pose.
    #[must_use]
    pub fn middle(&self, pose: &Pose) -> Coord<f64> {
        let sections = &self.machine.sections;
        let mean = |pick: fn(&Section) -> Length| {
            sections.iter().map(|section| pick(section).si()).sum::<f64>() / sections.len() as f64
        };
        let right = Coord { x: pose.heading.y, y: -pose.heading.x };
        pose.at
            + pose.heading * mean(|section| section.ahead)
            + right * mean(|section| section.right)
    }
}
