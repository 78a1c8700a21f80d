//! What is said about an order, on the screen and on sheets, each in one place.

mod costs;
mod hours;
mod loads;
mod tons;

pub use costs::{cost, cost_of_both, told_off};
pub use hours::{least_to_most, ways};
pub use loads::loads;
pub use tons::{causes, delivered, ends, one_truck_less_leaves, ordered, range};

use crate::plan::{FlatRate, Plan};
use crate::units::{Quantity, Rate, Share, told_apart};

/// A share without zeros that say nothing.
pub fn percent(share: Share) -> String {
    format!("{} %", (100.0 * share.as_percent()).round() / 100.0)
}

/// The pure gypsum in a rate of product, where the job's rates are that.
pub fn pure_rate(plan: &Plan, rate: Rate) -> Option<Rate> {
    Some(plan.settings.order.as_ref()?.pure()?.pure(rate))
}

/// What the numbers in the zones are.
pub fn rates_are(plan: &Plan) -> String {
    let unit = Rate::unit(plan.settings.system).symbol();
    match pure_rate(plan, Rate::ZERO) {
        Some(_) => format!("{unit} as spread, in brackets below the pure gypsum that the job says"),
        None => unit.to_owned(),
    }
}

/// The one rate that a map is compared with, and where it comes from.
pub fn flat_rate(plan: &Plan) -> String {
    let (flat, system) = (&plan.flat, plan.settings.system);
    let rate = flat.rate.show(system, 2);
    if flat.is_stated {
        return format!("{rate}, as the job states");
    }
    let step = flat.step.map_or_else(String::new, |(at, other)| {
        let beyond = if at < flat.cec_mean { "below" } else { "above" };
        format!("; a step: {beyond} {at} it is {}", other.show(system, 2))
    });
    format!("{rate}, the rate of its mean CEC of {}{step}", mean_beside_step(flat))
}

/// The mean CEC, told apart from the step beside it.
fn mean_beside_step(flat: &FlatRate) -> String {
    let mean = flat.cec_mean;
    let apart = flat.step.and_then(|(at, _)| told_apart(mean, at, 2..=4));
    apart.map_or_else(|| format!("{mean:.2}"), |[mean, _]| mean)
}

/// The same in few words.
pub fn flat_rate_briefly(plan: &Plan) -> String {
    let (flat, system) = (&plan.flat, plan.settings.system);
    let rate = flat.rate.show(system, 2);
    if flat.is_stated {
        return format!("{rate}, the job’s");
    }
    let step = flat.step.map_or_else(String::new, |(at, _)| format!("; a step at {at}"));
    format!("{rate}, of mean CEC {}{step}", mean_beside_step(flat))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::TierIndex;
    use crate::units::{Mass, Rate};

    #[test]
    fn a_mean_is_told_apart_from_the_step_beside_it() {
        let rate = Rate::tons_per_acre(0.5);
        let flat = |cec_mean| FlatRate {
            cec_mean,
            tier: TierIndex::of(0),
            is_stated: false,
            rate,
            step: Some((10.0, rate)),
            mass: Mass::ZERO,
            even: rate,
        };
        assert_eq!(mean_beside_step(&flat(11.234)), "11.23");
        assert_eq!(mean_beside_step(&flat(9.998)), "9.998");
    }
}
