//! Orders in `farm.json`.

use serde_json::{Value, json};

use super::order::{Cost, Costs, OrderFigures};
use super::{FarmOrder, FarmTotals};
use crate::units::System;
use crate::write::amount_names;

/// A field's order; null where it has none.
pub fn field(order: Option<&OrderFigures>, system: System) -> Value {
    let Some(order) = order else { return Value::Null };
    let [_, mass] = amount_names(system);
    json!({
        format!("{mass}_ordered"): order.ordered,
        format!("{mass}_ordered_low"): order.range.map(|[low, _]| low),
        format!("{mass}_ordered_high"): order.range.map(|[_, high]| high),
        format!("{mass}_per_delivery"): order.trucks.map(|trucks| trucks.payload),
        "trucks": order.trucks.map(|trucks| trucks.count),
        "loads": order.spreading.map(|spreading| spreading.loads),
        "hours_least": order.spreading.map(|spreading| spreading.hours[0]),
        "hours_most": order.spreading.map(|spreading| spreading.hours[1]),
        "money": order.costs.as_ref().map(costs),
    })
}

/// The farm's order; null where no field has one.
pub fn farm(totals: &FarmTotals) -> Value {
    let Some(order) = &totals.order else { return Value::Null };
    let FarmOrder { fields, ordered, range, .. } = order;
    let [_, mass] = amount_names(totals.system);
    json!({
        "fields": fields,
        format!("{mass}_ordered"): ordered,
        format!("{mass}_ordered_low"): range.map(|[low, _]| low),
        format!("{mass}_ordered_high"): range.map(|[_, high]| high),
        "deliveries": order.deliveries.map(|deliveries| json!({
            "fields": deliveries.fields,
            format!("{mass}_per_delivery"): deliveries.payload,
            "count": deliveries.count,
            format!("{mass}_delivered"): deliveries.delivered,
            "count_by_field": deliveries.by_field,
        })),
        "spreading": order.spreading.map(|spreading| json!({
            "fields": spreading.fields,
            "loads": spreading.sum.loads,
            "hours_least": spreading.sum.hours[0],
            "hours_most": spreading.sum.hours[1],
        })),
        "money": order.costs.map(|sum| {
            let mut money = costs(&sum.sum);
            if let Some(money) = money.as_object_mut() {
                money.insert("fields".to_owned(), sum.fields.into());
            }
            money
        }),
    })
}

fn costs(costs: &Costs) -> Value {
    let cost = |cost: &Cost| json!({ "product": cost.product, "spreading": cost.spreading, "total": cost.total });
    json!({
        "variable": cost(&costs.variable),
        "flat": cost(&costs.flat),
        "variable_over_flat": costs.over(),
    })
}
