//! The order in `totals.csv`.

use super::names::amount_names;
use crate::order::{Cost, Need, Order, whole_loads};
use crate::plan::Plan;
use crate::tonnage::MASS_DECIMALS;
use crate::units::Quantity;

/// The order as a table of its own: low, planned and high; none where there is no order.
pub fn order_rows(plan: &Plan) -> Vec<Vec<String>> {
    let (Some(order), Some(settings)) = (&plan.order, &plan.settings.order) else {
        return Vec::new();
    };
    let [_, tons] = amount_names(plan.settings.system);
    let mut rows = vec![row("order", ["low", "planned", "high"].map(str::to_owned), "unit")];
    let printed = columns(order, |need| need.printed(plan.settings.system));
    for (number, item) in ["spread", "margin", "lost", "ordered"].into_iter().enumerate() {
        let part = |need: [f64; 4]| need.get(number).copied().map_or(String::new(), figure);
        rows.push(row(item, printed.map(|need| need.map_or_else(String::new, part)), tons));
    }
    if let Some(payload) = settings.delivery {
        let trucks = columns(order, |need| whole_loads(need.ordered, payload));
        let count = |trucks: Option<usize>| trucks.map_or_else(String::new, |n| n.to_string());
        let brought = |trucks: Option<usize>| {
            let mass = |count: usize| (payload * count as f64).value_in(plan.settings.system);
            trucks.map_or_else(String::new, |count| figure(mass(count)))
        };
        rows.push(row("deliveries", trucks.map(count), "trucks"));
        rows.push(row("delivered", trucks.map(brought), tons));
    }
    rows.extend(loads(plan, order));
    rows.extend(hours(order));
    rows.extend(money(order));
    rows
}

fn row(item: &str, values: [String; 3], unit: &str) -> Vec<String> {
    std::iter::once(item.to_owned()).chain(values).chain([unit.to_owned()]).collect()
}

fn figure(value: f64) -> String {
    format!("{value:.*}", MASS_DECIMALS as usize)
}

/// Something of the low, the planned and the high need.
fn columns<T>(order: &Order, of: impl Fn(&Need) -> T) -> [Option<T>; 3] {
    let [low, high] = match &order.range {
        Some([low, high]) => [Some(of(low)), Some(of(high))],
        None => [None, None],
    };
    [low, Some(of(&order.planned)), high]
}

fn planned(item: &str, value: String, unit: &str) -> Vec<String> {
    row(item, [String::new(), value, String::new()], unit)
}

fn loads(plan: &Plan, order: &Order) -> Vec<Vec<String>> {
    let Some(loads) = &order.loads else { return Vec::new() };
    let system = plan.settings.system;
    let [_, tons] = amount_names(system);
    let fill = figure(loads.fill.full().value_in(system));
    let (fills, zones) = loads.printed_fills();
    let mut rows = vec![
        planned("one fill of the spreader", fill, tons),
        planned("loads", loads.count.to_string(), "loads"),
        planned("of these light first ones", loads.first.to_string(), "loads"),
        planned("fills", figure(fills), "fills"),
    ];
    let zones = plan.zones.iter().zip(zones);
    rows.extend(zones.map(|(zone, fills)| {
        planned(&format!("fills of zone {}", zone.number), figure(fills), "fills")
    }));
    rows
}

fn hours(order: &Order) -> Option<Vec<String>> {
    let range = order.hours?.range();
    let [least, most] = [range.least, range.most].map(|time| figure(time.as_hours()));
    Some(row("hours of spreading", [least, String::new(), most], "h"))
}

fn money(order: &Order) -> Vec<Vec<String>> {
    let costs = [("variable rate", &order.variable), ("flat rate", &order.flat)];
    let rows = costs.into_iter().filter_map(|(name, cost)| Some((name, cost.as_ref()?)));
    rows.flat_map(|(name, cost)| {
        let parts: [_; 3] = ["product", "spreading", "total"];
        parts.into_iter().zip(Cost::printed(cost)).map(move |(part, money)| {
            planned(&format!("{name}, {part}"), figure(money.rounded()), "money")
        })
    })
    .collect()
}
