use super::GateTier;
use crate::spreader::flow::{Stream, mass_flow};
use crate::spreader::{Machine, Range};
use crate::units::{Length, Quantity, Rate, Speed};

/// What the machine allows, as far as gate and belt go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// The stream through the gate.
    pub stream: Stream,
    /// Distance between the driven lines.
    pub swath: Length,
    /// Belt speeds that the controller can hold.
    pub belt_speed: Range<Speed>,
    /// Openings that the gate can be set to.
    pub gate_opening: Range<Length>,
    /// Distance between the marks of the gate's scale, if it has any.
    pub gate_step: Option<Length>,
    /// Ground speeds that the field is driven at.
    pub ground_speed: Range<Speed>,
}

impl From<&Machine> for Limits {
    fn from(machine: &Machine) -> Self {
        Self {
            stream: machine.stream(),
            swath: machine.swath,
            belt_speed: machine.belt_speed,
            gate_opening: machine.gate_opening,
            gate_step: machine.gate_step,
            ground_speed: machine.ground_speed,
        }
    }
}

impl Limits {
    /// The belt speed that a rate asks for at a ground speed under an opening.
    #[must_use]
    pub fn belt_speed(&self, rate: Rate, ground_speed: Speed, opening: Length) -> Speed {
        self.stream.belt_speed(mass_flow(rate, ground_speed, self.swath), opening)
    }

    /// The lowest opening under which the belt is fast enough for every tier at its fastest, and
    /// the highest under which it is slow enough for every tier at its slowest; the gate's own
    /// range not counted. The least may lie above the most: then no opening serves.
    #[must_use]
    pub fn openings(&self, tiers: &[GateTier]) -> Range<Length> {
        self.openings_at(tiers, self.ground_speed.most, self.ground_speed.least)
    }

    /// As [`Limits::openings`], when every tier has one ground speed of its own choice.
    #[must_use]
    pub fn openings_with_free_speed(&self, tiers: &[GateTier]) -> Range<Length> {
        self.openings_at(tiers, self.ground_speed.least, self.ground_speed.most)
    }

    fn openings_at(&self, tiers: &[GateTier], high: Speed, low: Speed) -> Range<Length> {
        let opening = |rate: Rate, driven: Speed, belt: Speed| {
            self.stream.opening(mass_flow(rate, driven, self.swath), belt).si()
        };
        let rates = || tiers.iter().map(|tier| tier.rate);
        let least = rates().map(|rate| opening(rate, high, self.belt_speed.most));
        let most = rates().map(|rate| opening(rate, low, self.belt_speed.least));
        Range::new(
            Length::from_si(least.fold(0.0, f64::max)),
            Length::from_si(most.fold(f64::INFINITY, f64::min)),
        )
    }

    /// The part of a range of openings that the gate can be set to; nothing where they do not meet.
    #[must_use]
    pub fn within_gate(&self, openings: Range<Length>) -> Option<Range<Length>> {
        let least = openings.least.si().max(self.gate_opening.least.si());
        let most = openings.most.si().min(self.gate_opening.most.si());
        (least <= most).then(|| Range::new(Length::from_si(least), Length::from_si(most)))
    }

    /// The ground speeds at which the belt can follow a rate under an opening; nothing where it
    /// cannot at any.
    #[must_use]
    pub fn window(&self, rate: Rate, opening: Length) -> Option<Range<Speed>> {
        let driven =
            |belt: Speed| self.stream.mass_flow(belt, opening).si() / (rate.si() * self.swath.si());
        let slowest = driven(self.belt_speed.least).max(self.ground_speed.least.si());
        let fastest = driven(self.belt_speed.most).min(self.ground_speed.most.si());
        (slowest <= fastest).then(|| Range::new(Speed::from_si(slowest), Speed::from_si(fastest)))
    }

    /// The first mark of the gate's scale at or above an opening, if it lies in the range;
    /// otherwise the last mark below that does; otherwise the opening as it is.
    #[must_use]
    pub fn on_a_mark(&self, opening: Length, serves: Range<Length>) -> Length {
        let Some(step) = self.gate_step else { return opening };
        let marks = opening / step;
        // A mark may be missed by the last bits of a division: 1e-9 of a step is far below what a
        // gate can be set to.
        let candidates = [(marks - 1e-9).ceil(), marks.floor()];
        let mut marks = candidates.into_iter().map(|count| step * count);
        marks.find(|mark| serves.holds(*mark)).unwrap_or(opening)
    }
}
