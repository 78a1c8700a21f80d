//! What is ordered and delivered, and what a map may take.

use std::fmt::Write as _;

use super::percent;
use crate::order::{Need, Order, OrderSettings, Trucks, Variation, whole_loads};
use crate::units::{Mass, Quantity, Share, System, count, told_apart};

/// What is ordered, and what it is made up of.
pub fn ordered(order: &Order, settings: &OrderSettings, system: System) -> String {
    let [spread, margin, loss, ordered] = order.planned.printed(system);
    format!(
        "{ordered:.2} {} = {spread:.2} spread + {margin:.2} margin ({}) + {loss:.2} lost ({} of what is delivered)",
        Mass::unit(system).plural(),
        percent(settings.extra.margin),
        percent(settings.extra.loss),
    )
}

/// What so many deliveries bring, of what each brings; none where no payload is set.
pub fn delivered(order: &Order, settings: &OrderSettings, system: System) -> Option<String> {
    let payload = settings.delivery?.show(system, 2);
    let [.., ordered] = order.planned.printed(system);
    let (brought, unit) = (order.delivered().value_in(system), Mass::unit(system).plural());
    let surplus = if brought >= ordered {
        format!(", {:.2} surplus", brought - ordered)
    } else {
        String::new()
    };
    let fewer = order.trucks.and_then(|trucks| one_truck_less(order, &trucks, system));
    let fewer = fewer.map_or_else(String::new, |fewer| format!("; {fewer}"));
    Some(format!("of {payload}, {brought:.2} {unit} delivered{surplus}{fewer}"))
}

/// What one truck less does, where it is worth a word: where its margin is not below zero.
fn one_truck_less(order: &Order, trucks: &Trucks, system: System) -> Option<String> {
    let left = trucks.one_less_leaves;
    if trucks.enough < 2 || left < Mass::ZERO {
        return None;
    }
    let spread = order.planned.spread;
    let share = if spread > Mass::ZERO { left / spread } else { 0.0 };
    let margin = format!("{} ({:.1} %)", left.show(system, 2), 100.0 * share);
    Some(one_truck_less_leaves(trucks.is_one_less(), &margin))
}

/// What one truck less leaves as margin, `taken` where it is what is ordered.
pub fn one_truck_less_leaves(taken: bool, margin: &str) -> String {
    if taken {
        format!("one truck less than all that is ordered, which leaves a margin of {margin}")
    } else {
        format!("one truck less leaves a margin of {margin}")
    }
}

/// The ends of a range of tons, with as many digits as tell them apart.
pub fn ends([low, high]: [f64; 2]) -> String {
    told_apart(low, high, 1..=2)
        .map_or_else(|| format!("{high:.2}"), |[low, high]| format!("{low} to {high}"))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_compared_is_told_apart() {
        assert_eq!(ends([254.11, 263.52]), "254.1 to 263.5");
        assert_eq!(ends([2.51, 2.54]), "2.51 to 2.54");
        assert_eq!(ends([2.5, 2.5]), "2.50");
    }

    use crate::spreader::constant::Scatter;

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
