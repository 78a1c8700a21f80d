use super::order::{Costs, OrderFigures, Spreading, Trucks};
use super::range::together;
use crate::order::{HOUR_DECIMALS, Money, whole_loads};
use crate::tonnage::MASS_DECIMALS;
use crate::totals::Cost;
use crate::units::{Mass, Quantity, System, round_to};

/// The order for all fields of a farm that have one.
#[derive(Clone, Debug, PartialEq)]
pub struct FarmOrder {
    /// How many have one.
    pub fields: usize,
    /// What is ordered for the maps as planned.
    pub ordered: f64,
    /// What would be ordered for what all ground at the rate its soil calls for would take together with 80 % probability; none
    /// if that is not known of every field with an order.
    pub range: Option<[f64; 2]>,
    /// The trucks that bring it; none where no field states a payload.
    pub deliveries: Option<Deliveries>,
    /// The spreader's work.
    pub spreading: Option<SumOf<Spreading>>,
    /// The money.
    pub costs: Option<SumOf<Costs>>,
}

/// The trucks for a farm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deliveries {
    /// How many fields state a payload.
    pub fields: usize,
    /// What each truck brings; none where not every field with an order states the same.
    pub payload: Option<f64>,
    /// How many bring what is ordered for all fields together, or, if there is no one payload, for
    /// each by itself.
    pub count: usize,
    /// What they bring.
    pub delivered: f64,
    /// How many it were if each field were ordered by itself.
    pub by_field: usize,
}

/// What some of the fields come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SumOf<T> {
    /// How many have any.
    pub fields: usize,
    /// What they come to.
    pub sum: T,
}

impl FarmOrder {
    /// Adds up orders as printed; none if there are none.
    pub(super) fn new<'a>(
        orders: impl Iterator<Item = &'a OrderFigures>,
        system: System,
    ) -> Option<Self> {
        let orders: Vec<&OrderFigures> = orders.collect();
        if orders.is_empty() {
            return None;
        }
        let ordered = round_to(orders.iter().map(|order| order.ordered).sum(), MASS_DECIMALS);
        let ranges: Option<Vec<[f64; 2]>> = orders.iter().map(|order| order.range).collect();
        Some(Self {
            fields: orders.len(),
            ordered,
            range: ranges.map(|ranges| together(&ranges, ordered)),
            deliveries: deliveries(&orders, ordered, system),
            spreading: sum(orders.iter().filter_map(|order| order.spreading), Spreading::and),
            costs: sum(orders.iter().filter_map(|order| order.costs), Costs::and),
        })
    }
}

fn deliveries(orders: &[&OrderFigures], ordered: f64, system: System) -> Option<Deliveries> {
    let trucks: Vec<Trucks> = orders.iter().filter_map(|order| order.trucks).collect();
    let first = trucks.first()?.payload;
    let same = trucks.len() == orders.len() && trucks.iter().all(|of| of.payload == first);
    let by_field = trucks.iter().map(|of| of.count).sum();
    let mass = |value: f64| Mass::from_si(value * Mass::unit(system).si);
    let (count, delivered) = if same {
        let count = whole_loads(mass(ordered), mass(first));
        (count, count as f64 * first)
    } else {
        (by_field, trucks.iter().map(|of| of.count as f64 * of.payload).sum())
    };
    Some(Deliveries {
        fields: trucks.len(),
        payload: same.then_some(first),
        count,
        delivered: round_to(delivered, MASS_DECIMALS),
        by_field,
    })
}

fn sum<T>(parts: impl Iterator<Item = T>, and: impl Fn(T, T) -> T) -> Option<SumOf<T>> {
    let parts = parts.map(|sum| SumOf { fields: 1, sum });
    parts.reduce(|a, b| SumOf { fields: a.fields + b.fields, sum: and(a.sum, b.sum) })
}

impl Spreading {
    fn and(self, other: Self) -> Self {
        let ([least, most], [other_least, other_most]) = (self.hours, other.hours);
        let hours = [least + other_least, most + other_most];
        let hours = hours.map(|hours| round_to(hours, HOUR_DECIMALS));
        Self { loads: self.loads + other.loads, hours }
    }
}

impl Costs {
    fn and(self, other: Self) -> Self {
        Self { variable: both(self.variable, other.variable), flat: both(self.flat, other.flat) }
    }

    /// By how much the map costs more than one rate for the whole field.
    #[must_use]
    pub fn over(&self) -> f64 {
        Money(self.variable.total - self.flat.total).rounded()
    }
}

fn both(one: Cost, other: Cost) -> Cost {
    Cost {
        product: Money(one.product + other.product).rounded(),
        spreading: Money(one.spreading + other.spreading).rounded(),
        total: Money(one.total + other.total).rounded(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn order(ordered: f64, range: [f64; 2], payload: Option<f64>) -> OrderFigures {
        let count = 2;
        let cost = |product, spreading, total| Cost { product, spreading, total };
        OrderFigures {
            ordered,
            range: Some(range),
            trucks: payload.map(|payload| Trucks { payload, count }),
            spreading: Some(Spreading { loads: 4, hours: [1.1, 2.2] }),
            costs: Some(Costs { variable: cost(30.1, 5.2, 35.3), flat: cost(40.0, 5.1, 45.1) }),
        }
    }

    fn farm(orders: &[OrderFigures]) -> FarmOrder {
        FarmOrder::new(orders.iter(), System::Us).unwrap()
    }

    /// By hand: two fields of 30 and 30.1 ton take two trucks of 24 each, 60.1 together three that
    /// bring 72. Middles 31 and 30, half-widths 3 and 4: 61 less and more 5.
    #[test]
    fn trucks_are_rounded_up_once() {
        let farm =
            farm(&[order(30.0, [28.0, 34.0], Some(24.0)), order(30.1, [26.0, 34.0], Some(24.0))]);
        assert_eq!((farm.fields, farm.ordered, farm.range), (2, 60.1, Some([56.0, 66.0])));
        let deliveries =
            Deliveries { fields: 2, payload: Some(24.0), count: 3, delivered: 72.0, by_field: 4 };
        assert_eq!(farm.deliveries, Some(deliveries));
        let spreading = farm.spreading.unwrap();
        assert_eq!((spreading.fields, spreading.sum.loads), (2, 8));
        assert_eq!(spreading.sum.hours, [2.2, 4.4]);
        let costs = farm.costs.unwrap();
        assert_eq!(costs.sum.variable, Cost { product: 60.2, spreading: 10.4, total: 70.6 });
        assert_eq!((costs.fields, costs.sum.flat.total, costs.sum.over()), (2, 90.2, -19.6));
    }

    /// With trucks of 24 and 20 ton, or with one field that has none, each field has its own: 2 x 24
    /// and 2 x 20 bring 88 ton.
    #[test]
    fn other_payloads_are_not_mixed() {
        let one = order(30.0, [28.0, 34.0], Some(24.0));
        let trucks = |other| farm(&[one.clone(), order(30.0, [28.0, 34.0], other)]).deliveries;
        let apart = Deliveries { fields: 2, payload: None, count: 4, delivered: 88.0, by_field: 4 };
        assert_eq!(trucks(Some(20.0)), Some(apart));
        let alone = Deliveries { fields: 1, payload: None, count: 2, delivered: 48.0, by_field: 2 };
        assert_eq!(trucks(None), Some(alone));
        assert_eq!(farm(&[order(1.0, [1.0, 1.0], None)]).deliveries, None);
    }

    #[test]
    fn what_is_not_known_of_all_is_said_of_some() {
        let bare = OrderFigures {
            range: None,
            spreading: None,
            costs: None,
            ..order(1.0, [0.0; 2], None)
        };
        let farm = farm(&[bare, order(30.0, [28.0, 34.0], None)]);
        assert_eq!((farm.fields, farm.ordered, farm.range), (2, 31.0, None));
        assert_eq!((farm.spreading.unwrap().fields, farm.costs.unwrap().fields), (1, 1));
        assert_eq!(FarmOrder::new([].iter(), System::Us), None);
    }
}
