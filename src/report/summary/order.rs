//! What is printed about the order.

use std::fmt::Write as _;

use crate::order::{Cost, FillLimit, Hours, Loads, Order, OrderSettings, RateBasis};
use crate::plan::Plan;
use crate::report::order::{self as report, percent};
use crate::units::{Mass, Quantity, Rate, System, Time, count};

/// The pure gypsum in each tier's rate, where it is known.
pub fn pure_rates(plan: &Plan) -> Option<Vec<Rate>> {
    let product = plan.settings.order.as_ref()?.product?;
    Some(plan.tiers.iter().map(|(tier, _)| product.pure(tier.rate)).collect())
}

/// The basis of the rates, the order, loads, hours and money.
pub fn lines(plan: &Plan) -> Vec<String> {
    let (Some(order), Some(settings)) = (&plan.order, &plan.settings.order) else {
        return Vec::new();
    };
    let system = plan.settings.system;
    let mut lines = Vec::new();
    lines.extend(basis(settings));
    lines.push(ordered(order, settings, system));
    lines.extend(range(order, settings, system));
    lines.extend(order.loads.as_ref().map(|loads| self::loads(loads, system)));
    lines.extend(order.hours.as_ref().map(|hours| self::hours(hours, system)));
    lines.extend(money(plan, order, settings));
    lines
}

fn basis(settings: &OrderSettings) -> Option<String> {
    let product = settings.product?;
    let given = match settings.basis {
        RateBasis::AsSpread => "Rates are product as spread.",
        RateBasis::PureGypsum => {
            "The job's rates are pure gypsum; here and in all files they are product as spread."
        }
    };
    Some(format!(
        "{given} Product = pure gypsum / (purity {} of the dry mass x (1 - moisture {} of the mass as spread)) = pure x {:.4}.",
        percent(product.purity),
        percent(product.moisture),
        product.per_pure(),
    ))
}

fn ordered(order: &Order, settings: &OrderSettings, system: System) -> String {
    let mut text = format!("Order: {}", report::ordered(order, settings, system));
    if let Some(delivered) = report::delivered(order, settings, system) {
        let deliveries = count(order.deliveries.len(), "delivery", "deliveries");
        let _ = write!(text, "; {deliveries} {delivered}{}", to_piles(order, system));
    }
    text + "."
}

/// How many deliveries go to each of several piles, and which of them are short: trucks are whole.
fn to_piles(order: &Order, system: System) -> String {
    if order.piles.len() < 2 {
        return String::new();
    }
    let piles = || (1..).zip(&order.piles);
    let shares = piles().map(|(number, pile)| format!("{} to pile {number}", pile.trucks));
    let short = piles().filter(|(_, pile)| pile.short > Mass::ZERO).map(|(number, pile)| {
        let short = pile.short.show(system, 2);
        format!(
            "; pile {number} is {short} short of what is spread from it: fill that from another"
        )
    });
    format!(" ({}){}", shares.collect::<Vec<_>>().join(", "), short.collect::<String>())
}

fn range(order: &Order, settings: &OrderSettings, system: System) -> Option<String> {
    let range = report::range(order, settings, system)?;
    let causes = report::causes(&settings.variation);
    Some(format!("By {causes}, this map takes {range}."))
}

fn loads(loads: &Loads, system: System) -> String {
    let fill = loads.fill;
    let limits = match fill.bound() {
        FillLimit::Hopper => {
            format!("as much as the hopper holds; {} may be loaded", fill.legal.show(system, 2))
        }
        FillLimit::LegalWeight => {
            format!("as much as may be loaded; the hopper holds {}", fill.hopper.show(system, 2))
        }
    };
    format!("Loads of the spreader: {} ({limits}).", report::loads(loads, system))
}

fn hours(hours: &Hours, system: System) -> String {
    let (driving, range) = (hours.driving, hours.range());
    format!(
        "Hours of spreading: {}, at {} to {} on a swath of {}, with {} of {:.0} s and {} of {:.0} min; {}.",
        report::least_to_most([range.least, range.most].map(Time::as_hours)),
        driving.speed.most.show(system, 1),
        driving.speed.least.show(system, 1),
        driving.swath.show(system, 0),
        count(hours.turns, "turn", "turns"),
        driving.turn.as_seconds(),
        count(hours.refills, "refill", "refills"),
        driving.refill.as_minutes(),
        report::ways(hours, system),
    )
}

fn money(plan: &Plan, order: &Order, settings: &OrderSettings) -> Option<String> {
    let (variable, flat) = (order.variable.as_ref()?, order.flat.as_ref()?);
    let even = order.even.as_ref()?;
    let prices = settings.prices;
    let shown = |cost: &Cost| report::cost(cost.printed(), prices);
    let mut text = format!(
        "Cost of the map: {}. One rate for the whole field ({}): {}; the map costs {}. The same tons spread evenly ({}): {}; the map costs {}",
        shown(variable),
        report::flat_rate(plan),
        shown(flat),
        report::told_off(variable.total(), flat.total()),
        plan.flat.even.show(plan.settings.system, 2),
        shown(even),
        report::told_off(variable.total(), even.total()),
    );
    let delivered = settings.delivery.and_then(|_| prices.of_product(order.delivered()));
    if let Some(delivered) = delivered {
        let _ = write!(text, ". Whole deliveries of product cost {delivered}");
    }
    Some(text + ".")
}
