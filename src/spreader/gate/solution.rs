use super::alternatives::{self, Alternatives};
use super::recommendation::{Recommendation, recommend};
use super::{BeltState, GateTier, Limits};
use crate::units::{Length, Quantity, Speed};

/// What the solver found.
#[derive(Clone, Debug, PartialEq)]
pub enum Solution {
    /// One opening serves every tier at every ground speed.
    Opening(Recommendation),
    /// None does.
    NoOpening(Box<NoOpening>),
}

/// Why no single opening works, and what can be done.
#[derive(Clone, Debug, PartialEq)]
pub struct NoOpening {
    /// The opening that comes nearest: as far out of the belt's range at one end as at the other,
    /// within what the gate can do.
    pub nearest: Length,
    /// What breaks there.
    pub breaks: Vec<BeltBreak>,
    /// Ways round it.
    pub alternatives: Alternatives,
}

/// A tier and a ground speed that the belt cannot follow.
#[derive(Clone, Debug, PartialEq)]
pub struct BeltBreak {
    /// The tier.
    pub tier: GateTier,
    /// The ground speed.
    pub ground_speed: Speed,
    /// The belt speed that it asks for.
    pub belt_speed: Speed,
    /// Whether that is too slow or too fast.
    pub state: BeltState,
}

/// Finds the gate opening for a field's tiers over the machine's ground speeds.
///
/// Belt speed = rate x ground speed x swath / (density x belt width x fill factor x opening) grows
/// with rate and ground speed and falls with the opening, so the heaviest tier at the fastest speed
/// bounds the opening from below and the lightest tier at the slowest from above: the answer is
/// exact, without search. Tiers must have passed [`check`](super::check); a tier of rate zero stops
/// the belt and bounds nothing.
#[must_use]
pub fn solve(limits: &Limits, tiers: &[GateTier]) -> Solution {
    let spread: Vec<GateTier> = tiers.iter().filter(|tier| tier.rate.si() > 0.0).cloned().collect();
    match recommend(limits, &spread) {
        Some(found) => Solution::Opening(found),
        None => Solution::NoOpening(Box::new(explain(limits, &spread))),
    }
}

fn explain(limits: &Limits, tiers: &[GateTier]) -> NoOpening {
    let bounds = limits.openings(tiers);
    let gate = limits.gate_opening;
    let middle = (bounds.least.si() * bounds.most.si()).sqrt();
    let nearest = Length::from_si(middle.clamp(gate.least.si(), gate.most.si()));
    let ends = [limits.ground_speed.least, limits.ground_speed.most];
    let breaks = tiers.iter().flat_map(|tier| {
        ends.into_iter().filter_map(move |ground_speed| {
            let belt_speed = limits.belt_speed(tier.rate, ground_speed, nearest);
            let state = BeltState::of(belt_speed, limits.belt_speed);
            let tier = tier.clone();
            (state != BeltState::Within).then_some(BeltBreak {
                tier,
                ground_speed,
                belt_speed,
                state,
            })
        })
    });
    NoOpening { nearest, breaks: breaks.collect(), alternatives: alternatives::find(limits, tiers) }
}
