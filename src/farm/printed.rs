//! Amounts as the farm's table and sheet print them.

use super::{Costs, FarmOrder, OrderFigures, SpreaderWork};
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};

pub fn area(value: f64) -> String {
    format!("{value:.*}", AREA_DECIMALS as usize)
}

pub fn mass(value: f64) -> String {
    format!("{value:.*}", MASS_DECIMALS as usize)
}

/// Mass ordered, low, high, trucks, loads, least and most hours, cost, flat rate's cost; empty where not
/// known.
pub fn of_field(order: &OrderFigures) -> [String; 9] {
    let trucks = order.trucks.map(|trucks| trucks.count);
    ordered(order.ordered, order.range, trucks, order.spreading, order.costs)
}

/// The same of the farm.
pub fn of_farm(order: &FarmOrder) -> [String; 9] {
    let trucks = order.deliveries.map(|deliveries| deliveries.count);
    let (spreading, costs) = (order.spreading.map(|all| all.sum), order.costs.map(|all| all.sum));
    ordered(order.ordered, order.range, trucks, spreading, costs)
}

fn ordered(
    planned: f64,
    range: Option<[f64; 2]>,
    trucks: Option<usize>,
    spreading: Option<SpreaderWork>,
    costs: Option<Costs>,
) -> [String; 9] {
    let two = |value: Option<f64>| value.map(|value| format!("{value:.2}")).unwrap_or_default();
    let count = |count: Option<usize>| count.map(|count| count.to_string()).unwrap_or_default();
    [
        mass(planned),
        two(range.map(|[low, _]| low)),
        two(range.map(|[_, high]| high)),
        count(trucks),
        count(spreading.map(|spreading| spreading.loads)),
        two(spreading.map(|spreading| spreading.hours[0])),
        two(spreading.map(|spreading| spreading.hours[1])),
        two(costs.map(|costs| costs.variable.total)),
        two(costs.map(|costs| costs.flat.total)),
    ]
}
