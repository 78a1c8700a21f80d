use super::CutList;
use super::soil::NamedValue;
use crate::order::{Cost, Loads, Order, OrderSettings};
use crate::plan::{Plan, printed_tons};
use crate::report::page::Position;
use crate::report::{order as report, size};
use crate::units::{Mass, Quantity, System};

/// What is ordered, trucked and loaded, how long it takes and what it costs.
pub fn rows(plan: &Plan) -> Vec<NamedValue> {
    let (Some(order), Some(settings)) = (&plan.order, &plan.settings.order) else {
        return Vec::new();
    };
    let system = plan.settings.system;
    let unit = Mass::unit(system).plural();
    let row = |name, value| NamedValue { name, value };
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
        let less = order.trucks.and_then(|trucks| report::one_truck_less(order, &trucks, system));
        let less = less.map_or_else(String::new, |less| format!("; {less}"));
        rows.push(row("Deliveries", format!("{trucks} of {payload}, together {brought}{less}")));
    }
    if let Some(range) = report::range(order, settings, system) {
        rows.push(row("This map takes", range));
    }
    rows.extend(order.loads.as_ref().map(|told| row("Spreader loads", loads(told, system))));
    if let Some(hours) = &order.hours {
        let range = hours.range();
        let (least, most) = (range.least.as_hours(), range.most.as_hours());
        rows.push(row(
            "Time in the field",
            format!("{least:.1} to {most:.1} hours; {}", report::ways(hours, system)),
        ));
    }
    rows.extend(money(plan, order, settings).into_iter().flatten());
    rows
}

/// The map's cost, that of one rate for the whole field, and that of its own tons spread evenly.
fn money(plan: &Plan, order: &Order, settings: &OrderSettings) -> Option<[NamedValue; 3]> {
    let (variable, flat) = (order.variable.as_ref()?, order.flat.as_ref()?);
    let even = order.even.as_ref()?;
    let shown = |cost: &Cost| {
        let [product, spreading, total] = cost.printed();
        match (settings.prices.product, settings.prices.spreading) {
            (Some(_), Some(_)) => format!("{total} (product {product}, spreading {spreading})"),
            (Some(_), None) => format!("{product} for product"),
            _ => format!("{spreading} for spreading"),
        }
    };
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
