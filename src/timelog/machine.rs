use super::State;
use crate::units::{Length, Time};

/// A machine that spreads, as one log has it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoggedMachine {
    /// Which of the machines described: the same in all logs of one file.
    pub number: usize,
    /// Its sections, from the left.
    pub sections: Vec<Section>,
    /// The value with the mass flow of the whole machine, mg/s.
    pub flow: Option<u8>,
    /// The values that count the mass spread.
    pub totals: Vec<Total>,
    /// The values that count the ground worked, m².
    pub areas: Vec<u8>,
    /// The value with the speed over the ground, mm/s, below 0 in reverse.
    pub speed: Option<u8>,
    /// How long the machine says it takes to apply a new rate.
    pub latency: Option<Time>,
}

/// A part of the swath that is turned on and off by itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Section {
    /// How far ahead of the logged position its middle is; behind it below 0.
    pub ahead: Length,
    /// How far to the right; to the left below 0.
    pub right: Length,
    /// How wide it is.
    pub width: Number,
    /// The value with the rate that was set, mg/m².
    pub set: Option<u8>,
    /// The value with the rate that was measured, mg/m².
    pub actual: Option<u8>,
    /// The value with its own mass flow, mg/s.
    pub flow: Option<u8>,
    /// What must be on for it to spread.
    pub switches: Vec<Switch>,
}

/// A length that may be logged, in mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Number {
    /// The value that has it.
    pub channel: Option<u8>,
    /// What holds where none is logged.
    pub otherwise: Option<Length>,
}

/// Two bits of a value: 1 is on, 0 off, 2 an error, 3 not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Switch {
    /// The value.
    pub channel: u8,
    /// The place of the lower bit.
    pub shift: u8,
}

/// A count of mass that goes on over the whole log.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Total {
    /// The value.
    pub channel: u8,
    /// How many kilograms one of it is.
    pub each: f64,
    /// Whether it counts what is left, so that it falls.
    pub falls: bool,
}

/// What the mass spread is known by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MassSource {
    /// Measured mass per area.
    Rate,
    /// Measured mass per time.
    Flow,
    /// The counts of mass.
    Totals,
    /// The rate that was set: nothing was measured.
    Set,
}

impl LoggedMachine {
    /// What the mass spread is known by, if it is logged at all.
    #[must_use]
    pub fn by(&self) -> Option<MassSource> {
        let has =
            |pick: fn(&Section) -> Option<u8>| self.sections.iter().any(|s| pick(s).is_some());
        if has(|section| section.actual) {
            Some(MassSource::Rate)
        } else if self.flow.is_some() || has(|section| section.flow) {
            Some(MassSource::Flow)
        } else if !self.totals.is_empty() {
            Some(MassSource::Totals)
        } else {
            has(|section| section.set).then_some(MassSource::Set)
        }
    }
}

impl Section {
    /// Whether it is on, if that is logged.
    #[must_use]
    pub fn is_on(&self, state: &State) -> Option<bool> {
        let known = self.switches.iter().filter_map(|switch| {
            state.get(switch.channel).map(|value| (value >> switch.shift) & 3 == 1)
        });
        known.reduce(|one, other| one && other)
    }
}

impl Number {
    /// The length at a state of the log.
    #[must_use]
    pub fn at(&self, state: &State) -> Option<Length> {
        let logged = self.channel.and_then(|channel| state.get(channel));
        logged.map(|mm| Length::millimetres(f64::from(mm))).or(self.otherwise)
    }
}
