use crate::spreader::Machine;
use crate::spreader::machine::RateChange;
use crate::units::{Length, MassFlow, Quantity, Time};

/// How the flow goes from one value to another once a change takes effect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ramp {
    /// In a straight line, complete after a time.
    Straight(Time),
    /// By a first-order lag: after its time constant 63 % of the way is made.
    FirstOrder(Time),
}

impl Ramp {
    /// At once.
    pub const NONE: Self = Self::Straight(Time::ZERO);

    /// The time by which the ramp puts the middle of a change off: the flow that it withholds is
    /// that of a sudden change so much later.
    #[must_use]
    pub fn lag(&self) -> Time {
        match self {
            Self::Straight(time) => *time / 2.0,
            Self::FirstOrder(constant) => *constant,
        }
    }
}

/// What the belt can carry; without a flow the belt stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belt {
    /// At its least speed.
    pub least: MassFlow,
    /// At its greatest.
    pub most: MassFlow,
}

/// How the machine answers to the map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Response {
    /// How far ahead, in time, the controller reads the map.
    pub lead: Time,
    /// From a new rate in the controller to the first change of flow.
    pub delay: Time,
    /// To a higher flow.
    pub rise: Ramp,
    /// To a lower flow.
    pub fall: Ramp,
    /// How far behind the receiver's antenna the material lands.
    pub behind: Length,
    /// What the belt can carry; any flow where nothing is known.
    pub belt: Option<Belt>,
}

impl Response {
    /// A machine that follows the map at once and without bounds.
    pub const IDEAL: Self = Self {
        lead: Time::ZERO,
        delay: Time::ZERO,
        rise: Ramp::NONE,
        fall: Ramp::NONE,
        behind: Length::ZERO,
        belt: None,
    };

    /// A machine's own, under a gate opening.
    #[must_use]
    pub fn of(machine: &Machine, opening: Length) -> Self {
        let carried = |belt| machine.stream().mass_flow(belt, opening);
        let belt = machine.belt_speed;
        let ramp = match machine.rate_change {
            RateChange::Straight => Ramp::Straight,
            RateChange::FirstOrder => Ramp::FirstOrder,
        };
        Self {
            lead: machine.look_ahead,
            delay: machine.rate_change_delay.unwrap_or(Time::ZERO),
            rise: ramp(machine.rate_rise),
            fall: ramp(machine.rate_fall),
            behind: machine.lands_behind,
            belt: Some(Belt { least: carried(belt.least), most: carried(belt.most) }),
        }
    }

    /// The flow, in kg/s, that the belt gives where another is asked of it.
    pub(super) fn carried(&self, wanted: f64) -> f64 {
        match self.belt {
            Some(belt) if wanted > 0.0 => wanted.max(belt.least.si()).min(belt.most.si()),
            _ => wanted,
        }
    }
}
