//! The order in `totals.json`.

use serde_json::{Value, json};

use super::zone_row::{amount_names, written_rate};
use crate::order::{
    Bound, Cost, Delivery, Hours, Loads, Money, Need, Order, OrderSettings, RateBasis, whole_loads,
};
use crate::plan::Plan;
use crate::tonnage::MASS_DECIMALS;
use crate::units::{Length, Mass, Quantity, Rate, Share, Speed, System, Time, round_to};

/// Decimals of printed hours: about half a minute.
pub const HOUR_DECIMALS: u32 = 2;
/// Decimals of a payload, a few grams: so it is still the same payload in other units.
const PAYLOAD_DECIMALS: u32 = 6;

/// The pure gypsum in a rate as it is written; none where the product is not known.
pub fn pure_rate(plan: &Plan, rate: Rate) -> Option<f64> {
    let product = plan.settings.order.as_ref()?.product?;
    Some(written_rate(product.pure(rate), plan.settings.system))
}

/// The order; null where there is none.
pub fn order(plan: &Plan) -> Value {
    let (Some(order), Some(settings)) = (&plan.order, &plan.settings.order) else {
        return Value::Null;
    };
    let system = plan.settings.system;
    let [_, name] = amount_names(system);
    let need = |need: &Need| self::need(need, settings.delivery, system);
    let [low, high] = match &order.range {
        Some(ends) => ends.each_ref().map(need),
        None => [Value::Null, Value::Null],
    };
    json!({
        "basis": basis(settings),
        "loss_percent": percent(settings.extra.loss),
        "margin_percent": percent(settings.extra.margin),
        "formula": "ordered = spread x (1 + margin) / (1 - loss)",
        "low": low,
        "planned": need(&order.planned),
        "high": high,
        format!("{name}_per_delivery"): settings.delivery.map(|payload| round_to(payload.value_in(system), PAYLOAD_DECIMALS)),
        "deliveries": deliveries(order, system),
        format!("{name}_delivered"): mass(order.delivered(), system),
        "loads": order.loads.as_ref().map(|loads| self::loads(plan, loads)),
        "hours": order.hours.as_ref().map(|hours| self::hours(hours, system)),
        "money": money(order, settings),
    })
}

fn percent(share: Share) -> f64 {
    round_to(share.as_percent(), 2)
}

fn mass(mass: Mass, system: System) -> f64 {
    round_to(mass.value_in(system), MASS_DECIMALS)
}

fn basis(settings: &OrderSettings) -> Value {
    let rates = match settings.basis {
        RateBasis::AsSpread => "as spread",
        RateBasis::PureGypsum => "pure gypsum",
    };
    let product = settings.product;
    json!({
        "rates_given": rates,
        "rates_written": "as spread",
        "purity_percent": product.map(|product| percent(product.purity)),
        "moisture_percent": product.map(|product| percent(product.moisture)),
        "product_per_pure": product.map(|product| round_to(product.per_pure(), 6)),
        "formula": "product = pure / (purity x (1 - moisture)); purity of the dry mass, moisture of the mass as spread",
    })
}

fn need(need: &Need, payload: Option<Mass>, system: System) -> Value {
    let [_, name] = amount_names(system);
    let [spread, margin, loss, ordered] = need.printed(system);
    json!({
        format!("{name}_spread"): spread,
        format!("{name}_margin"): margin,
        format!("{name}_lost"): loss,
        format!("{name}_ordered"): ordered,
        "trucks": payload.map(|payload| whole_loads(need.ordered, payload)),
    })
}

fn deliveries(order: &Order, system: System) -> Vec<Value> {
    let [_, name] = amount_names(system);
    let truck = |truck: &Delivery| json!({ "delivery": truck.number, name: mass(truck.mass, system), "pile": truck.pile });
    order.deliveries.iter().map(truck).collect()
}

fn loads(plan: &Plan, loads: &Loads) -> Value {
    let system = plan.settings.system;
    let [_, name] = amount_names(system);
    let Loads { fill, first, count, .. } = loads;
    let (fills, zones) = loads.printed_fills();
    let zones = plan.zones.iter().zip(zones);
    let zones = zones.map(|(zone, fills)| json!({ "zone": zone.number, "fills": fills }));
    json!({
        format!("{name}_hopper"): mass(fill.hopper, system),
        format!("{name}_legal"): mass(fill.legal, system),
        format!("{name}_fill"): mass(fill.full(), system),
        "limited_by": match fill.bound() { Bound::Hopper => "hopper", Bound::LegalWeight => "legal weight" },
        "fills": fills,
        "count": count,
        "light_first": first,
        "light_percent": percent(fill.first.share),
        "zones": zones.collect::<Vec<_>>(),
    })
}

fn hours(hours: &Hours, system: System) -> Value {
    let driving = hours.driving;
    let range = hours.range();
    let printed = |time: Time| round_to(time.as_hours(), HOUR_DECIMALS);
    json!({
        "least": printed(range.least),
        "most": printed(range.most),
        "formula": "pass length / ground speed + turns x turn + refills x refill; pass length = area spread / swath; the way to the pile not counted",
        "swath": round_to(driving.swath.value_in(system), 4),
        "pass_length": round_to(hours.passes.value_in(system), 0),
        "length_unit": Length::unit(system).symbol(),
        "ground_speed_least": round_to(driving.speed.least.value_in(system), 4),
        "ground_speed_most": round_to(driving.speed.most.value_in(system), 4),
        "speed_unit": Speed::unit(system).symbol(),
        "turns": hours.turns,
        "turn_seconds": round_to(driving.turn.as_seconds(), 1),
        "refills": hours.refills,
        "refill_minutes": round_to(driving.refill.as_minutes(), 2),
    })
}

fn money(order: &Order, settings: &OrderSettings) -> Value {
    let (Some(variable), Some(flat)) = (&order.variable, &order.flat) else {
        return Value::Null;
    };
    let cost = |cost: &Cost| {
        let [product, spreading, total] = cost.printed();
        json!({ "product": product.rounded(), "spreading": spreading.rounded(), "total": total.rounded() })
    };
    let over = variable.total().rounded() - flat.total().rounded();
    let delivered = settings.delivery.and_then(|_| settings.prices.of_product(order.delivered()));
    json!({
        "variable": cost(variable),
        "flat": cost(flat),
        "variable_over_flat": round_to(over, 2),
        "product_as_delivered": delivered.map(Money::rounded),
    })
}
