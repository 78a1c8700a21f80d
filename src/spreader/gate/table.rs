use super::{GateTier, Limits};
use crate::spreader::Range;
use crate::spreader::flow::{mass_flow, volume_flow};
use crate::units::{Length, MassFlow, Quantity, Rate, Share, Speed, VolumeFlow};

/// Whether the belt can run at a speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BeltState {
    /// Slower than it can run steadily.
    TooSlow,
    /// Within its range.
    Within,
    /// Faster than it can run.
    TooFast,
}

impl BeltState {
    /// How a belt speed stands to a range.
    #[must_use]
    pub fn of(belt_speed: Speed, range: Range<Speed>) -> Self {
        // An opening at the very end of its range asks for the end of the belt's, give or take the
        // last bits; a billionth of a belt speed is no difference.
        if belt_speed < range.least * (1.0 - 1e-9) {
            Self::TooSlow
        } else if belt_speed > range.most * (1.0 + 1e-9) {
            Self::TooFast
        } else {
            Self::Within
        }
    }
}

/// One tier at one ground speed.
#[derive(Clone, Debug, PartialEq)]
pub struct FlowRow {
    /// The tier.
    pub tier: GateTier,
    /// The ground speed.
    pub ground_speed: Speed,
    /// Mass leaving the machine.
    pub mass_flow: MassFlow,
    /// Volume leaving the machine.
    pub volume_flow: VolumeFlow,
    /// The belt speed that it asks for.
    pub belt_speed: Speed,
    /// Where that lies between the belt's slowest (0 %) and fastest (100 %).
    pub share_of_range: Share,
    /// Whether the belt can do it.
    pub state: BeltState,
    /// What lands: the tier's rate, or what the belt makes of it at the end of its range.
    pub landed: Rate,
}

/// The table of flow and belt speed under an opening, tier by tier.
#[must_use]
pub fn rows(
    limits: &Limits,
    tiers: &[GateTier],
    opening: Length,
    speeds: &[Speed],
) -> Vec<FlowRow> {
    let spread = tiers.iter().filter(|tier| tier.rate.si() > 0.0);
    spread.flat_map(|tier| speeds.iter().map(|speed| row(limits, tier, opening, *speed))).collect()
}

fn row(limits: &Limits, tier: &GateTier, opening: Length, ground_speed: Speed) -> FlowRow {
    let flow = mass_flow(tier.rate, ground_speed, limits.swath);
    let belt_speed = limits.stream.belt_speed(flow, opening);
    let range = limits.belt_speed;
    let width = (range.most - range.least).si();
    let state = BeltState::of(belt_speed, range);
    let runs_at = belt_speed.si().clamp(range.least.si(), range.most.si());
    let share = if width > 0.0 { (belt_speed - range.least).si() / width } else { 1.0 };
    FlowRow {
        tier: tier.clone(),
        ground_speed,
        mass_flow: flow,
        volume_flow: volume_flow(flow, limits.stream.density),
        belt_speed,
        share_of_range: Share::from_si(share),
        state,
        landed: tier.rate * (runs_at / belt_speed.si()),
    }
}
