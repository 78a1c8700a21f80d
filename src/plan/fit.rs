//! What tiers come to a given amount of material: all rates times a factor, or all breaks moved.

use super::amounts::ZoneAmounts;
use super::{PlanError, Settings, Surfaced, Zoned};
use crate::units::{Mass, Quantity as _};

/// The step in which breaks are moved, in meq/100 g: laboratories print a tenth.
const STEP: f64 = 0.1;

/// Two ways to come to an amount of material. Rates that are set for areas stay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// What the rates of all tiers by CEC are multiplied by; none where what is set alone is more, or
    /// nothing is spread.
    pub factor: Option<f64>,
    /// How far all breaks move, in meq/100 g, to a tenth: up for less material where rates rise with CEC.
    /// None where no move comes to it, or there is no break.
    pub shift: Option<f64>,
}

impl Fit {
    /// The ways to come to an amount, in material as spread.
    ///
    /// The factor follows from the zones as they are; the move is found by halving between the ends of
    /// the soil test, with the field zoned anew at each step.
    ///
    /// # Errors
    /// As [`Zoned::new`].
    pub fn to(target: Mass, surfaced: &Surfaced, settings: &Settings) -> Result<Self, PlanError> {
        let zoned = Zoned::new(surfaced, settings)?;
        let amounts = ZoneAmounts::new(surfaced, &zoned, settings);
        let set = |zone: &&super::Zone| settings.tiers.is_set(zone.tier);
        let set: Mass = amounts.zones.iter().filter(set).map(|zone| zone.amount.mass).sum();
        let by_cec = amounts.total.mass - set;
        let possible = target >= set && by_cec > Mass::ZERO;
        let factor = possible.then(|| (target - set) / by_cec);
        Ok(Self { factor, shift: shift(target, surfaced, settings)? })
    }
}

fn shift(target: Mass, surfaced: &Surfaced, settings: &Settings) -> Result<Option<f64>, PlanError> {
    let cec = surfaced.field.samples.iter().map(|sample| sample.cec);
    let (low, high) = cec.fold((f64::INFINITY, 0.0_f64), |(a, b), c| (a.min(c), b.max(c)));
    let (Some(lowest), Some(highest)) =
        (settings.tiers.lowest_break(), settings.tiers.highest_break())
    else {
        return Ok(None);
    };
    let over = |steps: i32| -> Result<f64, PlanError> {
        let mut moved = settings.clone();
        moved.tiers = moved.tiers.with_breaks_moved(f64::from(steps) * STEP);
        let zoned = Zoned::new(surfaced, &moved)?;
        let mass = ZoneAmounts::new(surfaced, &zoned, &moved).total.mass;
        Ok(mass.si() - target.si())
    };
    // From all of the field in the highest tier to all of it in the lowest, as far as breaks stay above 0.
    let steps = |cec: f64| (cec / STEP).clamp(-10_000.0, 10_000.0);
    #[expect(clippy::cast_possible_truncation, reason = "clamped")]
    let (mut down, mut up) = (
        steps((low - highest - STEP).max(STEP - lowest)).ceil() as i32,
        steps(high - lowest + STEP).ceil() as i32,
    );
    let (mut at_down, at_up) = (over(down)?, over(up)?);
    if at_down == 0.0 {
        return Ok(Some(f64::from(down) * STEP));
    }
    if (at_down > 0.0) == (at_up > 0.0) {
        return Ok(None);
    }
    let mut nearest = if at_down.abs() < at_up.abs() { (at_down, down) } else { (at_up, up) };
    while up - down > 1 {
        let middle = down + (up - down) / 2;
        let at = over(middle)?;
        if at.abs() < nearest.0.abs() {
            nearest = (at, middle);
        }
        if (at > 0.0) == (at_down > 0.0) {
            (down, at_down) = (middle, at);
        } else {
            up = middle;
        }
    }
    Ok(Some(f64::from(nearest.1) * STEP))
}
