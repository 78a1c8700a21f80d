//! Orders in `farm.json`.

use crate::farm::{Costs, Deliveries, FarmOrder, OrderFigures};
use crate::totals::{
    self, FarmCosts, FarmDeliveries, FarmSpreading, FieldCosts, FieldOrder, InUnits,
};
use crate::units::System;

/// A field's order.
pub fn field(order: &OrderFigures, system: System) -> FieldOrder {
    FieldOrder {
        ordered: InUnits::new(order.ordered, system),
        low: InUnits::new(order.range.map(|[low, _]| low), system),
        high: InUnits::new(order.range.map(|[_, high]| high), system),
        per_delivery: InUnits::new(order.trucks.map(|trucks| trucks.payload), system),
        trucks: order.trucks.map(|trucks| trucks.count),
        loads: order.spreading.map(|spreading| spreading.loads),
        hours_least: order.spreading.map(|spreading| spreading.hours[0]),
        hours_most: order.spreading.map(|spreading| spreading.hours[1]),
        money: order.costs.as_ref().map(costs),
    }
}

/// The farm's order.
pub fn farm(order: &FarmOrder, system: System) -> totals::FarmOrder {
    totals::FarmOrder {
        fields: order.fields,
        ordered: InUnits::new(order.ordered, system),
        low: InUnits::new(order.range.map(|[low, _]| low), system),
        high: InUnits::new(order.range.map(|[_, high]| high), system),
        deliveries: order.deliveries.as_ref().map(|trucks| deliveries(trucks, system)),
        spreading: order.spreading.map(|spreading| FarmSpreading {
            fields: spreading.fields,
            loads: spreading.sum.loads,
            hours_least: spreading.sum.hours[0],
            hours_most: spreading.sum.hours[1],
        }),
        money: order.costs.map(|sum| FarmCosts { costs: costs(&sum.sum), fields: sum.fields }),
    }
}

fn deliveries(deliveries: &Deliveries, system: System) -> FarmDeliveries {
    FarmDeliveries {
        fields: deliveries.fields,
        per_delivery: InUnits::new(deliveries.payload, system),
        count: deliveries.count,
        delivered: InUnits::new(deliveries.delivered, system),
        count_by_field: deliveries.by_field,
    }
}

fn costs(costs: &Costs) -> FieldCosts {
    FieldCosts { variable: costs.variable, flat: costs.flat, variable_over_flat: costs.over() }
}
