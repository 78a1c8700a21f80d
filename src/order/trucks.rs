use super::Need;
use super::deliveries::whole_loads;
use crate::units::{Mass, Quantity, Share};

/// The road trucks of an order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trucks {
    /// How many bring at least what is ordered.
    pub enough: usize,
    /// How many are ordered: enough, or one less where that leaves the margin that is enough.
    pub count: usize,
    /// What one less than enough leaves beyond what is spread and lost; below 0 where it is short.
    pub one_less_leaves: Mass,
}

impl Trucks {
    /// The trucks for a need. With `least_margin`, a share of what is spread, the last one stays away
    /// when the others leave as much.
    #[must_use]
    pub fn new(need: &Need, payload: Mass, least_margin: Option<Share>) -> Self {
        let enough = whole_loads(need.ordered, payload);
        let arrives = if need.ordered > Mass::ZERO { 1.0 - need.loss / need.ordered } else { 1.0 };
        let one_less_leaves = payload * enough.saturating_sub(1) as f64 * arrives - need.spread;
        let suffices = |share: Share| {
            enough > 1 && one_less_leaves.si() >= need.spread.si() * (share.si() - ROUNDING)
        };
        let count = if least_margin.is_some_and(suffices) { enough - 1 } else { enough };
        Self { enough, count, one_less_leaves }
    }

    /// Whether the last truck stays away.
    #[must_use]
    pub fn is_one_less(&self) -> bool {
        self.count < self.enough
    }
}

/// A billionth: a margin that comes out at the least one is one that suffices.
const ROUNDING: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::OrderExtra;

    /// By hand: 340 tons and a margin of 3 % are 350.2, 15 trucks of 25 for the sake of 0.2 tons; 14
    /// bring 350, which leaves 10 tons, 2.94 %.
    #[test]
    fn the_last_truck_may_be_all_margin() {
        let extra = OrderExtra { loss: Share::ZERO, margin: Share::percent(3.0) };
        let need = Need::new(Mass::tons(340.0), extra);
        let trucks =
            |least: Option<f64>| Trucks::new(&need, Mass::tons(25.0), least.map(Share::percent));
        assert_eq!((trucks(None).enough, trucks(None).count), (15, 15));
        assert!((trucks(None).one_less_leaves.as_tons() - 10.0).abs() < 1e-9);
        for (least, count) in [(0.0, 14), (2.9, 14), (2.95, 15), (3.0, 15)] {
            assert_eq!(trucks(Some(least)).count, count, "{least} %");
        }
    }

    /// By hand: 4 % of what 4 trucks of 24 bring is lost, 92.16 tons are left for 90: 2.16. Three
    /// leave 69.12, 20.88 short.
    #[test]
    fn what_is_lost_is_no_margin() {
        let extra = OrderExtra { loss: Share::percent(4.0), margin: Share::percent(1.0) };
        let need = |tons| Need::new(Mass::tons(tons), extra);
        let four = Trucks::new(&need(90.0), Mass::tons(24.0), Some(Share::ZERO));
        assert_eq!((four.enough, four.count), (4, 4));
        assert!((four.one_less_leaves.as_tons() + 20.88).abs() < 1e-9);
        let five = Trucks::new(&need(92.0), Mass::tons(24.0), Some(Share::ZERO));
        assert_eq!((five.enough, five.count), (5, 4));
        assert!((five.one_less_leaves.as_tons() - 0.16).abs() < 1e-9);
    }

    #[test]
    fn no_order_is_no_truck() {
        let none = Need::new(Mass::ZERO, OrderExtra::default());
        let trucks = Trucks::new(&none, Mass::tons(24.0), Some(Share::ZERO));
        assert_eq!((trucks.enough, trucks.count), (0, 0));
        let one = Need::new(Mass::tons(1.0), OrderExtra::default());
        assert_eq!(Trucks::new(&one, Mass::tons(24.0), Some(Share::ZERO)).count, 1);
    }
}
