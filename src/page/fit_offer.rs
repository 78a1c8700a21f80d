//! Rates or breaks that come to given tons or trucks, as the page offers them.

use serde::{Deserialize, Serialize};

use super::{Planned, written_tiers};
use crate::job::Job;
use crate::plan::{Fit, Plan, PlanError};
use crate::units::{Mass, Quantity, round_to};

/// What a field is to come to.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FitWanted {
    /// A number of tons, in the units of the job, or of trucks.
    pub amount: f64,
    /// Whether it is trucks.
    pub trucks: bool,
}

/// Two ways to come to it; what is absent is not possible.
#[derive(Debug, PartialEq, Serialize)]
pub struct FitOffer {
    /// What is to be spread, in the units of the job.
    pub spread: f64,
    /// The rate of each tier as the job writes it.
    pub rates: Option<Vec<f64>>,
    /// The CEC that each tier but the highest ends at.
    pub ends: Option<Vec<f64>>,
}

impl FitOffer {
    /// What comes to an amount. Rates are rounded to 0.01; for trucks down, so that no truck more is
    /// needed. None where trucks are asked for and the job has no payload.
    ///
    /// # Errors
    /// When the field cannot be zoned.
    pub fn new(planned: &Planned, job: &Job, wanted: FitWanted) -> Result<Option<Self>, PlanError> {
        let Planned { surfaced, plan, .. } = planned;
        let system = plan.settings.system;
        let Some(target) = target(plan, wanted) else { return Ok(None) };
        let fit = Fit::to(target, surfaced, &plan.settings)?;
        let tiers = written_tiers(job);
        let rates = fit.factor.map(|factor| {
            let scaled = tiers.iter().map(|tier| tier.rate.value.value_in(system) * factor);
            let down = |rate: f64| (rate * 100.0 + 1e-9).floor() / 100.0;
            scaled.map(|rate| if wanted.trucks { down(rate) } else { round_to(rate, 2) }).collect()
        });
        let ends = fit.shift.map(|shift| {
            let ends = tiers.iter().filter_map(|tier| tier.to.or(tier.under));
            ends.map(|end| round_to(end + shift, 1)).collect()
        });
        Ok(Some(Self { spread: round_to(target.value_in(system), 2), rates, ends }))
    }
}

/// What is to be spread: of trucks, what is left of what they bring without loss and margin.
fn target(plan: &Plan, wanted: FitWanted) -> Option<Mass> {
    let FitWanted { amount, trucks } = wanted;
    if !(amount.is_finite() && amount > 0.0) {
        return None;
    }
    if !trucks {
        return Some(Mass::from_si(amount * Mass::unit(plan.settings.system).si));
    }
    let order = plan.settings.order.as_ref()?;
    let (loss, margin) = (order.extra.loss.as_percent(), order.extra.margin.as_percent());
    Some(order.delivery? * (amount.floor() * (100.0 - loss) / (100.0 + margin)))
}
