use super::CutList;
use super::soil::NamedValue;
use crate::order::{Cost, Order, OrderSettings};
use crate::plan::{Plan, printed_tons};
use crate::report::page::Position;
use crate::report::{order as report, size};
use crate::units::{Quantity, Time};

/// What is ordered, trucked and loaded, how long it takes and what it costs.
pub fn rows(plan: &Plan) -> Vec<NamedValue> {
    let (Some(order), Some(settings)) = (&plan.order, &plan.settings.order) else {
        return Vec::new();
    };
    let system = plan.settings.system;
    let row = |name, value| NamedValue { name, value };
    let mut rows = vec![row("To order", report::ordered(order, settings, system))];
    if let Some(delivered) = report::delivered(order, settings, system) {
        rows.push(row("Deliveries", format!("{} {delivered}", order.deliveries.len())));
    }
    if let Some(range) = report::range(order, settings, system) {
        rows.push(row("This map takes", range));
    }
    rows.extend(
        order.loads.as_ref().map(|told| row("Spreader loads", report::loads(told, system))),
    );
    if let Some(hours) = &order.hours {
        let range = hours.range();
        let range = report::least_to_most([range.least, range.most].map(Time::as_hours));
        rows.push(row(
            "Time in the field",
            format!("{range} hours; {}", report::ways(hours, system)),
        ));
    }
    rows.extend(money(plan, order, settings).into_iter().flatten());
    rows
}

/// The map's cost, that of one rate for the whole field, and that of its own tons spread evenly.
fn money(plan: &Plan, order: &Order, settings: &OrderSettings) -> Option<[NamedValue; 3]> {
    let (variable, flat) = (order.variable.as_ref()?, order.flat.as_ref()?);
    let even = order.even.as_ref()?;
    let shown = |cost: &Cost| report::cost(cost.printed(), settings.prices);
    let against = |rate: String, other: &Cost| {
        let off = report::told_off(variable.total(), other.total());
        let total = match (settings.prices.product, settings.prices.spreading) {
            (Some(_), Some(_)) => other.total().to_string(),
            _ => shown(other),
        };
        format!("{total} ({rate}); the map costs {off}")
    };
    let evenly = plan.flat.even.show(plan.settings.system, 2);
    Some([
        NamedValue { name: "Cost of this map", value: shown(variable) },
        NamedValue {
            name: "One rate instead",
            value: against(report::flat_rate_briefly(plan), flat),
        },
        NamedValue { name: "Same tons evenly", value: against(evenly, even) },
    ])
}

/// A pile, what is spread from it, and how many road trucks go there.
pub struct PileRow {
    pub number: usize,
    /// Its middle.
    pub place: Position,
    pub size: String,
    pub mass: String,
    /// Empty where it is not known, as what they bring.
    pub trucks: String,
    pub brought: String,
}

/// Which pile gets how much.
pub fn piles(plan: &Plan) -> CutList<PileRow> {
    let Some(stockpile) = &plan.stockpile else { return CutList::of([], 0) };
    let brought = |number: usize| plan.order.as_ref()?.piles.get(number - 1);
    let piles = stockpile.piles.iter().zip(printed_tons(plan, stockpile));
    let rows = piles.map(|(pile, mass)| PileRow {
        number: pile.number,
        place: Position::of(pile.spot.wgs84),
        size: size(pile, plan.settings.system),
        mass: format!("{mass:.2}"),
        trucks: brought(pile.number).map_or_else(String::new, |at| at.trucks.to_string()),
        brought: brought(pile.number).map_or_else(String::new, |at| {
            format!("{:.2}", at.brought.value_in(plan.settings.system))
        }),
    });
    CutList::of(rows, 6)
}

/// The fills of each tier and of the field as printed, if the spreader's fill is known.
pub fn fills(plan: &Plan) -> Option<(Vec<String>, String)> {
    let (whole, zones) = plan.order.as_ref()?.loads.as_ref()?.printed_fills();
    let of_tier = |tier: usize| {
        let mine = plan.zones.iter().zip(&zones).filter(|(zone, _)| zone.tier.index() == tier);
        format!("{:.2}", mine.map(|(_, fills)| fills).sum::<f64>())
    };
    Some(((0..plan.tiers.len()).map(of_tier).collect(), format!("{whole:.2}")))
}
