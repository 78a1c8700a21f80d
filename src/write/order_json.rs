//! The order in `totals.json`.

use super::in_units::mass;
use crate::order::{
    Cost, Delivery, FillLimit, HOUR_DECIMALS, Hours, Loads, Money, Need, Order, OrderSettings,
    RateBasis, Trucks, Variation, whole_loads,
};
use crate::plan::{Plan, written_rate};
use crate::totals::{self, InUnits};
use crate::units::{Length, Mass, Quantity, Rate, Share, Speed, System, Time, round_to};

/// Decimals of a payload, a few grams: so it is still the same payload in other units.
const PAYLOAD_DECIMALS: u32 = 6;

/// The pure gypsum in a rate as it is written; none where the product is not known.
pub fn pure_rate(plan: &Plan, rate: Rate) -> Option<f64> {
    let product = plan.settings.order.as_ref()?.product?;
    Some(written_rate(product.pure(rate), plan.settings.system))
}

/// The order, if there is one.
pub fn order(plan: &Plan) -> Option<totals::Order> {
    let (order, settings) = (plan.order.as_ref()?, plan.settings.order.as_ref()?);
    let system = plan.settings.system;
    let need = |need: &Need| self::need(need, settings.delivery, system);
    let [low, high] = match &order.range {
        Some(ends) => ends.each_ref().map(|end| Some(need(end))),
        None => [None, None],
    };
    let payload = |payload: Mass| round_to(payload.value_in(system), PAYLOAD_DECIMALS);
    Some(totals::Order {
        basis: basis(settings),
        loss_percent: percent(settings.extra.loss),
        margin_percent: percent(settings.extra.margin),
        formula: "ordered = spread x (1 + margin) / (1 - loss)".to_owned(),
        low,
        planned: totals::Need {
            trucks: order.trucks.map(|trucks| trucks.count),
            ..need(&order.planned)
        },
        high,
        variation: Some(variation(&settings.variation)),
        per_delivery: InUnits::new(settings.delivery.map(payload), system),
        least_margin_percent: settings.least_margin.map(percent),
        one_truck_less: order.trucks.map(|trucks| one_less(&trucks, system)),
        deliveries: deliveries(order, system),
        delivered: mass(order.delivered(), system),
        loads: order.loads.as_ref().map(|loads| self::loads(plan, loads)),
        hours: order.hours.as_ref().map(|hours| self::hours(hours, system)),
        money: money(order, settings),
    })
}

fn percent(share: Share) -> f64 {
    round_to(share.as_percent(), 2)
}

fn variation(variation: &Variation) -> totals::Variation {
    let tests = variation.weigh_tests;
    totals::Variation {
        weigh_tests: tests.map(|tests| tests.tests),
        scatter_percent: tests.map(|tests| percent(tests.spread)),
        loss_percent: variation.loss.map(|ends| ends.map(percent)),
        moisture_percent: variation.moisture.map(|ends| ends.map(percent)),
    }
}

fn one_less(trucks: &Trucks, system: System) -> totals::OneTruckLess {
    totals::OneTruckLess {
        trucks: trucks.enough.saturating_sub(1),
        margin: mass(trucks.one_less_leaves, system),
        taken: trucks.is_one_less(),
    }
}

fn basis(settings: &OrderSettings) -> totals::Basis {
    let product = settings.product;
    totals::Basis {
        rates_given: match settings.basis {
            RateBasis::AsSpread => totals::RatesGiven::AsSpread,
            RateBasis::PureGypsum => totals::RatesGiven::PureGypsum,
        },
        rates_written: "as spread".to_owned(),
        purity_percent: product.map(|product| percent(product.purity)),
        moisture_percent: product.map(|product| percent(product.moisture)),
        product_per_pure: product.map(|product| round_to(product.per_pure(), 6)),
        formula: "product = pure / (purity x (1 - moisture)); purity of the dry mass, moisture of the mass as spread".to_owned(),
    }
}

fn need(need: &Need, payload: Option<Mass>, system: System) -> totals::Need {
    let [spread, margin, lost, ordered] = need.printed(system);
    totals::Need {
        spread: InUnits::new(spread, system),
        margin: InUnits::new(margin, system),
        lost: InUnits::new(lost, system),
        ordered: InUnits::new(ordered, system),
        trucks: payload.map(|payload| whole_loads(need.ordered, payload)),
    }
}

fn deliveries(order: &Order, system: System) -> Vec<totals::Delivery> {
    let truck = |truck: &Delivery| totals::Delivery {
        delivery: truck.number,
        mass: mass(truck.mass, system),
        pile: truck.pile,
    };
    order.deliveries.iter().map(truck).collect()
}

fn loads(plan: &Plan, loads: &Loads) -> totals::Loads {
    let system = plan.settings.system;
    let Loads { fill, first, count, .. } = loads;
    let (fills, zones) = loads.printed_fills();
    let zones = plan.zones.iter().zip(zones);
    let zones = zones.map(|(zone, fills)| totals::ZoneFills { zone: zone.number, fills });
    totals::Loads {
        hopper: mass(fill.hopper, system),
        legal: mass(fill.legal, system),
        fill: mass(fill.full(), system),
        limited_by: match fill.bound() {
            FillLimit::Hopper => totals::Limit::Hopper,
            FillLimit::LegalWeight => totals::Limit::LegalWeight,
        },
        fills,
        count: *count,
        light_first: *first,
        light_percent: percent(fill.first.share),
        zones: zones.collect(),
    }
}

fn hours(hours: &Hours, system: System) -> totals::Hours {
    let driving = hours.driving;
    let range = hours.range();
    let printed = |time: Time| round_to(time.as_hours(), HOUR_DECIMALS);
    totals::Hours {
        least: printed(range.least),
        most: printed(range.most),
        formula: "pass length / ground speed + turns x turn + refills x refill + pile way / road speed, or ground speed without one; pass length = area spread / swath; pile way = 2 x refills x mean way of a ton from its pile, in a straight line; without a pile not included".to_owned(),
        swath: round_to(driving.swath.value_in(system), 4),
        pass_length: round_to(hours.passes.value_in(system), 0),
        length_unit: Length::unit(system).symbol().to_owned(),
        ground_speed_least: round_to(driving.speed.least.value_in(system), 4),
        ground_speed_most: round_to(driving.speed.most.value_in(system), 4),
        speed_unit: Speed::unit(system).symbol().to_owned(),
        turns: hours.turns,
        turn_seconds: round_to(driving.turn.as_seconds(), 1),
        refills: hours.refills,
        refill_minutes: round_to(driving.refill.as_minutes(), 2),
        pile_way: hours.to_pile.map(|way| round_to(way.value_in(system), 0)),
        road_speed: driving.road_speed.map(|speed| round_to(speed.value_in(system), 4)),
    }
}

fn money(order: &Order, settings: &OrderSettings) -> Option<totals::Money> {
    let (variable, flat) = (order.variable.as_ref()?, order.flat.as_ref()?);
    let cost = |cost: &Cost| {
        let [product, spreading, total] = cost.printed().map(Money::rounded);
        totals::Cost { product, spreading, total }
    };
    let over = variable.total().rounded() - flat.total().rounded();
    let delivered = settings.delivery.and_then(|_| settings.prices.of_product(order.delivered()));
    Some(totals::Money {
        variable: cost(variable),
        flat: cost(flat),
        even: order.even.as_ref().map(cost),
        variable_over_flat: round_to(over, 2),
        product_as_delivered: delivered.map(Money::rounded),
    })
}
