use super::rounded::rounded;
use crate::tonnage::MASS_DECIMALS;
use crate::totals::{Cost, Need, Order};
use crate::units::System;

/// Decimals by which payloads are told apart, in tons or tonnes: less than a tenth of a kilogram.
const PAYLOAD_DECIMALS: u32 = 4;

/// A field's order as printed, masses in the units of the farm.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderFigures {
    /// What is ordered for the map as planned.
    pub ordered: f64,
    /// What of it is spread.
    pub spread: f64,
    /// What of it is lost.
    pub lost: f64,
    /// What the map takes, from and to (4 in 5), without margin.
    pub range: Option<[f64; 2]>,
    /// The margin that is enough to do with one truck less, percent of what is spread.
    pub least_margin: Option<f64>,
    /// The trucks that bring it; none where no payload is set.
    pub trucks: Option<FarmTrucks>,
    /// The spreader's work; none without a spreader.
    pub spreading: Option<SpreaderWork>,
    /// The money; none without prices.
    pub costs: Option<Costs>,
}

/// The trucks of one payload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FarmTrucks {
    /// What each brings.
    pub payload: f64,
    /// How many.
    pub count: usize,
}

/// The spreader's work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpreaderWork {
    /// Its loads.
    pub loads: usize,
    /// The hours that it takes, the least and the most.
    pub hours: [f64; 2],
    /// Whether driving to the pile is in them.
    pub to_pile: bool,
}

/// What the map costs and what one rate for the whole field would.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Costs {
    /// The map.
    pub variable: Cost,
    /// One rate.
    pub flat: Cost,
}

impl OrderFigures {
    /// Takes them from a field's order; masses in other units are converted.
    pub(super) fn of(order: &Order, system: System) -> Self {
        let ordered = |need: &Need| rounded(&need.ordered, system, MASS_DECIMALS);
        let range = order.low.as_ref().zip(order.high.as_ref());
        let trucks = order.per_delivery.known().zip(order.planned.trucks);
        let spreading = order.loads.as_ref().zip(order.hours.as_ref());
        Self {
            ordered: ordered(&order.planned),
            spread: rounded(&order.planned.spread, system, MASS_DECIMALS),
            lost: rounded(&order.planned.lost, system, MASS_DECIMALS),
            least_margin: order.least_margin_percent,
            range: range.map(|(low, high)| [ordered(low), ordered(high)]),
            trucks: trucks.map(|(payload, count)| FarmTrucks {
                payload: rounded(&payload, system, PAYLOAD_DECIMALS),
                count,
            }),
            spreading: spreading.map(|(loads, hours)| SpreaderWork {
                loads: loads.count,
                hours: [hours.least, hours.most],
                to_pile: hours.pile_way.is_some(),
            }),
            costs: order
                .money
                .as_ref()
                .map(|money| Costs { variable: money.variable, flat: money.flat }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::totals::{InUnits, POND_QUARTER, Totals};

    /// The golden order in tonnes.
    fn metric() -> Order {
        let mut order = Totals::read(POND_QUARTER).unwrap().order.unwrap();
        let tonnes = |value: f64| InUnits::new(value, System::Metric);
        order.planned.ordered = tonnes(20.0);
        let end = |value| Some(Need { ordered: tonnes(value), ..order.planned.clone() });
        (order.low, order.high) = (end(18.0), end(22.0));
        order.per_delivery = InUnits::new(Some(20.865_249), System::Metric);
        order.planned.trucks = Some(1);
        order.loads.as_mut().unwrap().count = 3;
        let hours = order.hours.as_mut().unwrap();
        (hours.least, hours.most, hours.pile_way) = (1.25, 2.5, Some(1000.0));
        order
    }

    /// NIST Handbook 44, appendix C: 1 short ton = 0.907 184 74 t, so 20 t are 22.046 ton, 18 and 22
    /// t 19.842 and 24.251 ton, and 20.865 249 t are the 23 ton that they were.
    #[test]
    fn masses_are_converted_and_nothing_else() {
        let order = metric();
        let read = OrderFigures::of(&order, System::Us);
        assert_eq!((read.ordered, read.range), (22.05, Some([19.84, 24.25])));
        assert_eq!(read.trucks, Some(FarmTrucks { payload: 23.0, count: 1 }));
        assert_eq!(
            read.spreading,
            Some(SpreaderWork { loads: 3, hours: [1.25, 2.5], to_pile: true })
        );
        let money = order.money.unwrap();
        assert_eq!(read.costs, Some(Costs { variable: money.variable, flat: money.flat }));
    }

    #[test]
    fn what_is_not_known_is_none() {
        let mut order = metric();
        (order.low, order.loads, order.money) = (None, None, None);
        order.per_delivery.value = None;
        let read = OrderFigures::of(&order, System::Metric);
        assert_eq!((read.ordered, read.range, read.trucks), (20.0, None, None));
        assert_eq!((read.spreading, read.costs), (None, None));
    }
}
