//! What is said about an order, on the screen and on sheets.

use std::fmt::Write as _;

use crate::order::{Hours, Money, Need, Order, OrderSettings, Trucks, Variation, whole_loads};
use crate::plan::{FlatRate, Plan};
use crate::units::{Length, Mass, Quantity, Rate, Share, System, count, told_apart};

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

/// By how much one cost is off another, without cents: neither map nor order is as sure as that.
pub fn told_off(cost: Money, other: Money) -> String {
    let off = (cost - other).0.round();
    if off == 0.0 {
        return "the same".to_owned();
    }
    let told = if off > 0.0 { "more" } else { "less" };
    format!("{} {told}", Money(off.abs()).without_cents())
}

/// What one truck less does, where it is worth a word: where its margin is not below zero.
pub fn one_truck_less(order: &Order, trucks: &Trucks, system: System) -> Option<String> {
    let left = trucks.one_less_leaves;
    if trucks.enough < 2 || left < Mass::ZERO {
        return None;
    }
    let spread = order.planned.spread;
    let share = if spread > Mass::ZERO { left / spread } else { 0.0 };
    let margin = format!("{} ({:.1} %)", left.show(system, 2), 100.0 * share);
    Some(if trucks.is_one_less() {
        format!("one truck less than all that is ordered, which leaves a margin of {margin}")
    } else {
        format!("one truck less leaves a margin of {margin}")
    })
}

/// What a map takes at the least and at the most, and what that means for the order.
pub fn range(order: &Order, settings: &OrderSettings, system: System) -> Option<String> {
    let [low, high] = order.range.as_ref()?;
    let ends = ends([low.ordered, high.ordered].map(|mass| mass.value_in(system)));
    let ends = format!("{ends} {}", Mass::unit(system).plural());
    let mut text = format!("{ends} (4 in 5)");
    if let Some(payload) = settings.delivery {
        let [least, most] = [low, high].map(|need: &Need| whole_loads(need.ordered, payload));
        let least = if least == most { String::new() } else { format!("{least} to ") };
        let _ = write!(text, ", {least}{}", count(most, "delivery", "deliveries"));
    }
    let there = if order.deliveries.is_empty() { order.planned.ordered } else { order.delivered() };
    let short = high.ordered - there;
    let what = if order.deliveries.is_empty() { "the order covers" } else { "the trucks bring" };
    if short.value_in(system) < 0.005 {
        let _ = write!(text, "; {what} that");
    } else {
        let _ = write!(text, "; {what} {} less than the most", short.show(system, 1));
    }
    Some(text)
}

/// The ends of a range of tons, with as many digits as tell them apart.
pub fn ends([low, high]: [f64; 2]) -> String {
    told_apart(low, high, 1..=2)
        .map_or_else(|| format!("{high:.2}"), |[low, high]| format!("{low} to {high}"))
}

/// What that range comes from.
pub fn causes(variation: &Variation) -> String {
    let ends = |[least, most]: [Share; 2]| {
        format!("{} to {}", percent(least).trim_end_matches(" %"), percent(most))
    };
    let tests = variation.weigh_tests.map(|tests| {
        let tests_told = count(tests.tests, "weigh test", "weigh tests");
        format!("{tests_told} that scatter by {:.1} %", tests.spread.as_percent())
    });
    let loss = variation.loss.map(|loss| format!("{} lost", ends(loss)));
    let water = variation.moisture.map(|water| format!("{} water", ends(water)));
    let all: Vec<String> = [tests, loss, water].into_iter().flatten().collect();
    match all.as_slice() {
        [others @ .., last] if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        all => all.concat(),
    }
}

/// The ways to the pile and back, counted or not.
pub fn ways(hours: &Hours, system: System) -> String {
    let Some(way) = hours.to_pile else {
        return "driving to the pile not included: the job places none".to_owned();
    };
    let speed = hours.driving.road_speed.map_or_else(
        || "as fast as it spreads".to_owned(),
        |speed| format!("at {}", speed.show(system, 1)),
    );
    format!(
        "driving to the pile and back included, {} {speed}, in straight lines",
        far(way, system)
    )
}

/// A long way.
fn far(way: Length, system: System) -> String {
    match system {
        System::Us => format!("{:.1} mi", way.as_miles()),
        System::Metric => format!("{:.1} km", way.as_kilometres()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spreader::constant::Scatter;

    #[test]
    fn what_is_compared_is_told_apart() {
        assert_eq!(ends([254.11, 263.52]), "254.1 to 263.5");
        assert_eq!(ends([2.51, 2.54]), "2.51 to 2.54");
        assert_eq!(ends([2.5, 2.5]), "2.50");
        let rate = Rate::tons_per_acre(0.5);
        let flat = |cec_mean| FlatRate {
            cec_mean,
            tier: 0,
            is_stated: false,
            rate,
            step: Some((10.0, rate)),
            mass: Mass::ZERO,
            even: rate,
        };
        assert_eq!(mean_beside_step(&flat(11.234)), "11.23");
        assert_eq!(mean_beside_step(&flat(9.998)), "9.998");
    }

    #[test]
    fn money_without_cents() {
        let off = |one, other| told_off(Money(one), Money(other));
        assert_eq!(off(1_632.40, 1_000.0), "632 more");
        assert_eq!(off(1_000.0, 12_675.5), "11,676 less");
        assert_eq!(off(5.0, 5.4), "the same");
    }

    #[test]
    fn causes_in_words() {
        let share = Share::percent;
        let loss = Some([share(1.0), share(4.0)]);
        let mut variation = Variation { loss, ..Variation::default() };
        assert_eq!(causes(&variation), "1 to 4 % lost");
        variation.weigh_tests = Some(Scatter { tests: 4, spread: share(0.94) });
        assert_eq!(causes(&variation), "4 weigh tests that scatter by 0.9 % and 1 to 4 % lost");
        variation.moisture = Some([share(7.5), share(12.0)]);
        assert_eq!(
            causes(&variation),
            "4 weigh tests that scatter by 0.9 %, 1 to 4 % lost and 7.5 to 12 % water"
        );
    }
}
