use std::fmt::Write as _;

use super::Few;
use super::soil::Row;
use crate::order::{Cost, Loads, Money, Order, OrderSettings, whole_loads};
use crate::plan::{Plan, printed_tons};
use crate::report::size;
use crate::units::{Mass, Quantity, System, count};

/// What is ordered, trucked and loaded, how long it takes and what it costs.
pub fn rows(plan: &Plan) -> Vec<Row> {
    let (Some(order), Some(settings)) = (&plan.order, &plan.settings.order) else {
        return Vec::new();
    };
    let system = plan.settings.system;
    let unit = Mass::unit(system).plural();
    let row = |name, value| Row { name, value };
    let [spread, margin, lost, ordered] = order.planned.printed(system);
    let mut rows = vec![row(
        "To order",
        format!(
            "{ordered:.2} {unit}: {spread:.2} spread + {margin:.2} margin + {lost:.2} lost on the way"
        ),
    )];
    if let Some(payload) = settings.delivery {
        let (trucks, payload) = (order.deliveries.len(), payload.show(system, 2));
        let brought = order.delivered().show(system, 2);
        rows.push(row("Deliveries", format!("{trucks} of {payload}, together {brought}")));
    }
    if let Some([low, high]) = &order.range {
        let mut text =
            format!("{:.0} to {}", low.ordered.value_in(system), high.ordered.show(system, 0));
        if let Some(payload) = settings.delivery {
            let [least, most] = [low, high].map(|need| whole_loads(need.ordered, payload));
            let least = if least == most { String::new() } else { format!("{least} to ") };
            let most = count(most, "delivery", "deliveries");
            let _ = write!(text, ", {least}{most}");
        }
        rows.push(row("Likely order (4 in 5)", text));
    }
    rows.extend(order.loads.as_ref().map(|told| row("Spreader loads", loads(told, system))));
    if let Some(hours) = &order.hours {
        let range = hours.range();
        let (least, most) = (range.least.as_hours(), range.most.as_hours());
        rows.push(row("Time in the field", format!("{least:.1} to {most:.1} hours")));
    }
    rows.extend(money(order, settings).into_iter().flatten());
    rows
}

/// The map's cost and that of one rate for the whole field.
fn money(order: &Order, settings: &OrderSettings) -> Option<[Row; 2]> {
    let (variable, flat) = (order.variable.as_ref()?, order.flat.as_ref()?);
    let shown = |cost: &Cost| {
        let [product, spreading, total] = cost.printed();
        match (settings.prices.product, settings.prices.spreading) {
            (Some(_), Some(_)) => format!("{total} (product {product}, spreading {spreading})"),
            (Some(_), None) => format!("{product} for product"),
            _ => format!("{spreading} for spreading"),
        }
    };
    let off = flat.total().rounded() - variable.total().rounded();
    let (off, told) = (Money(off.abs()), if off < 0.0 { "more" } else { "less" });
    Some([
        Row { name: "Cost of this map", value: shown(variable) },
        Row {
            name: "One rate instead",
            value: format!("{}; the map costs {off} {told}", shown(flat)),
        },
    ])
}

/// A pile, what is spread from it, and how many road trucks go there.
pub struct PileRow {
    pub number: usize,
    /// Latitude and longitude of its middle, as a phone takes them.
    pub place: String,
    pub size: String,
    pub mass: String,
    /// Empty where it is not known, as what they bring.
    pub trucks: String,
    pub brought: String,
}

/// Which pile gets how much.
pub fn piles(plan: &Plan) -> Few<PileRow> {
    let Some(stockpile) = &plan.stockpile else { return Few::of([], 0) };
    let brought = |number: usize| plan.order.as_ref()?.piles.get(number - 1);
    let piles = stockpile.piles.iter().zip(printed_tons(plan, stockpile));
    let rows = piles.map(|(pile, mass)| PileRow {
        number: pile.number,
        place: format!("{:.5}, {:.5}", pile.spot.wgs84.y, pile.spot.wgs84.x),
        size: size(pile, plan.settings.system),
        mass: format!("{mass:.2}"),
        trucks: brought(pile.number).map_or_else(String::new, |at| at.trucks.to_string()),
        brought: brought(pile.number).map_or_else(String::new, |at| {
            format!("{:.2}", at.brought.value_in(plan.settings.system))
        }),
    });
    Few::of(rows, 6)
}

fn loads(loads: &Loads, system: System) -> String {
    let share = loads.fill.first.share.as_percent();
    let light = match loads.first {
        0 => String::new(),
        1 => format!(", the first one light, {share:.0} %"),
        several => format!(", the first {several} light, {share:.0} %"),
    };
    format!(
        "{} of {}{light}; equals {:.2} full loads",
        loads.count,
        loads.fill.full().show(system, 2),
        loads.printed_fills().0
    )
}

/// The fills of each tier and of the field as printed, if the spreader's fill is known.
pub fn fills(plan: &Plan) -> Option<(Vec<String>, String)> {
    let (whole, zones) = plan.order.as_ref()?.loads.as_ref()?.printed_fills();
    let of_tier = |tier: usize| {
        let mine = plan.zones.iter().zip(&zones).filter(|(zone, _)| zone.tier == tier);
        format!("{:.2}", mine.map(|(_, fills)| fills).sum::<f64>())
    };
    Some(((0..plan.tiers.len()).map(of_tier).collect(), format!("{whole:.2}")))
}
