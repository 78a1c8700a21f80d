use super::order::{Costs, FarmTrucks, OrderFigures, SpreaderWork};
use crate::order::{self, HOUR_DECIMALS, Money, Need};
use crate::tonnage::MASS_DECIMALS;
use crate::totals::Cost;
use crate::units::{Mass, Quantity, Share, System, round_to};

/// The order for all fields of a farm that have one.
#[derive(Clone, Debug, PartialEq)]
pub struct FarmOrder {
    /// How many have one.
    pub fields: usize,
    /// What is ordered for the maps as planned.
    pub ordered: f64,
    /// What the maps take together (4 in 5), without margin; none if that is not known of every field
    /// with an order. One spreader strays on all fields alike, and so does one product, so the fields'
    /// ends are added.
    pub range: Option<[f64; 2]>,
    /// The trucks that bring it; none where no field states a payload.
    pub deliveries: Option<Deliveries>,
    /// The spreader's work.
    pub spreading: Option<SumOf<SpreaderWork>>,
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
    /// What one less than bring all that is ordered would leave; none if there is no one payload.
    pub one_less: Option<OneLess>,
}

/// One truck less than bring all that is ordered for a farm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneLess {
    /// How many trucks that is.
    pub trucks: usize,
    /// What they leave beyond what is spread and lost; below 0 where they are short.
    pub margin: f64,
    /// Whether the fields all say that such a margin is enough, so that the last truck stays away.
    pub taken: bool,
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
        let end = |of: fn(&[f64; 2]) -> f64, ranges: &[[f64; 2]]| {
            round_to(ranges.iter().map(of).sum(), MASS_DECIMALS)
        };
        Some(Self {
            fields: orders.len(),
            ordered,
            range: ranges
                .map(|ranges| [end(|[low, _]| *low, &ranges), end(|[_, high]| *high, &ranges)]),
            deliveries: deliveries(&orders, ordered, system),
            spreading: sum(orders.iter().filter_map(|order| order.spreading), SpreaderWork::and),
            costs: sum(orders.iter().filter_map(|order| order.costs), Costs::and),
        })
    }
}

fn deliveries(orders: &[&OrderFigures], ordered: f64, system: System) -> Option<Deliveries> {
    let trucks: Vec<FarmTrucks> = orders.iter().filter_map(|order| order.trucks).collect();
    let first = trucks.first()?.payload;
    let same = trucks.len() == orders.len() && trucks.iter().all(|of| of.payload == first);
    let by_field = trucks.iter().map(|of| of.count).sum();
    let mass = |value: f64| Mass::from_si(value * Mass::unit(system).si);
    let trucks_together = same.then(|| {
        let sum = |of: fn(&OrderFigures) -> f64| mass(orders.iter().map(|order| of(order)).sum());
        let (spread, loss) = (sum(|order| order.spread), sum(|order| order.lost));
        let margin = mass(ordered) - spread - loss;
        let need = Need { spread, margin, loss, ordered: mass(ordered) };
        let margins = || orders.iter().map(|order| order.least_margin);
        let least = margins().next().flatten().filter(|least| margins().all(|m| m == Some(*least)));
        order::Trucks::new(&need, mass(first), least.map(Share::percent))
    });
    let (count, delivered) = match &trucks_together {
        Some(together) => (together.count, together.count as f64 * first),
        None => (by_field, trucks.iter().map(|of| of.count as f64 * of.payload).sum()),
    };
    let one_less = trucks_together.map(|together| OneLess {
        trucks: together.enough.saturating_sub(1),
        margin: round_to(together.one_less_leaves.value_in(system), MASS_DECIMALS),
        taken: together.is_one_less(),
    });
    Some(Deliveries {
        fields: trucks.len(),
        payload: same.then_some(first),
        count,
        delivered: round_to(delivered, MASS_DECIMALS),
        by_field,
        one_less,
    })
}

fn sum<T>(parts: impl Iterator<Item = T>, and: impl Fn(T, T) -> T) -> Option<SumOf<T>> {
    let parts = parts.map(|sum| SumOf { fields: 1, sum });
    parts.reduce(|a, b| SumOf { fields: a.fields + b.fields, sum: and(a.sum, b.sum) })
}

impl SpreaderWork {
    fn and(self, other: Self) -> Self {
        let ([least, most], [other_least, other_most]) = (self.hours, other.hours);
        let hours = [least + other_least, most + other_most];
        let hours = hours.map(|hours| round_to(hours, HOUR_DECIMALS));
        let to_pile = self.to_pile && other.to_pile;
        Self { loads: self.loads + other.loads, hours, to_pile }
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
            spread: 0.9 * ordered,
            lost: 0.0,
            least_margin: None,
            range: Some(range),
            trucks: payload.map(|payload| FarmTrucks { payload, count }),
            spreading: Some(SpreaderWork { loads: 4, hours: [1.1, 2.2], to_pile: true }),
            costs: Some(Costs { variable: cost(30.1, 5.2, 35.3), flat: cost(40.0, 5.1, 45.1) }),
        }
    }

    fn farm(orders: &[OrderFigures]) -> FarmOrder {
        FarmOrder::new(orders.iter(), System::Us).unwrap()
    }

    /// Trucks of two fields that are not added up.
    fn apart(fields: usize) -> Deliveries {
        let (count, by_field) = (4, 4);
        Deliveries { fields, payload: None, count, delivered: 0.0, by_field, one_less: None }
    }

    /// By hand: 26 and 26 tons, of which 23.4 each are spread, take three trucks of 24; two bring 48,
    /// 1.2 more than the 46.8, which is 2.56 %.
    #[test]
    fn the_last_truck_stays_away_where_all_fields_say_so() {
        let order =
            |least_margin| OrderFigures { least_margin, ..order(26.0, [24.0, 25.0], Some(24.0)) };
        let trucks = |one, other| {
            let deliveries = farm(&[order(one), order(other)]).deliveries.unwrap();
            (deliveries.count, deliveries.one_less.unwrap().margin)
        };
        assert_eq!(trucks(Some(2.5), Some(2.5)), (2, 1.2));
        assert_eq!(trucks(Some(2.6), Some(2.6)), (3, 1.2));
        assert_eq!(trucks(Some(2.5), None), (3, 1.2));
    }

    /// By hand: two fields of 30 and 30.1 ton take two trucks of 24 each, 60.1 together three that
    /// bring 72; two would bring 48, 6.09 short of the 54.09 that are spread.
    #[test]
    fn trucks_are_rounded_up_once() {
        let farm =
            farm(&[order(30.0, [28.0, 34.0], Some(24.0)), order(30.1, [26.0, 34.0], Some(24.0))]);
        assert_eq!((farm.fields, farm.ordered, farm.range), (2, 60.1, Some([54.0, 68.0])));
        let deliveries = Deliveries { payload: Some(24.0), count: 3, delivered: 72.0, ..apart(2) };
        let one_less = Some(OneLess { trucks: 2, margin: -6.09, taken: false });
        let deliveries = Deliveries { one_less, ..deliveries };
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
        assert_eq!(trucks(Some(20.0)), Some(Deliveries { delivered: 88.0, ..apart(2) }));
        let alone = Deliveries { count: 2, delivered: 48.0, by_field: 2, ..apart(1) };
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
