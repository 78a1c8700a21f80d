use super::{Need, OrderExtra, Product};
use crate::spreader::constant::{Scatter, two_sided_80};
use crate::units::{Mass, Quantity, Share};

/// How far machine and material stray from what an order takes them for: what is known of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Variation {
    /// What the weigh tests say about the spreader.
    pub weigh_tests: Option<Scatter>,
    /// What is lost of a delivery, at the least and at the most (4 in 5).
    pub loss: Option<[Share; 2]>,
    /// The water in the product, at the least and at the most (4 in 5), where rates are pure gypsum:
    /// others stay tons of product however wet it is.
    pub moisture: Option<[Share; 2]>,
}

impl Variation {
    /// What a field takes from the trucks, at the least and at the most (4 in 5), without margin; none
    /// where nothing is known of it.
    ///
    /// Each cause is a share of the tons, and they are independent, so together they go as the root of
    /// the sum of their squares, each side by itself. The spreader puts down, over all loads, its tests'
    /// mean give or take t s (1/n + 1/m)^(1/2), for n tests with standard deviation s and m loads yet
    /// to come: the prediction interval for the mean of m new ones (G. J. Hahn and W. Q. Meeker,
    /// *Statistical Intervals*, 1991, 4.8; from memory).
    #[must_use]
    pub fn ends(
        &self,
        spread: Mass,
        extra: OrderExtra,
        product: Option<Product>,
        loads: usize,
    ) -> Option<[Need; 2]> {
        let machine = self.weigh_tests.map(|tests| machine(tests, loads));
        let water = self.moisture.zip(product).map(|([least, most], product)| {
            off([least, most].map(|share| (1.0 - product.moisture.si()) / (1.0 - share.si())))
        });
        let loss = self
            .loss
            .map(|ends| off(ends.map(|share| (1.0 - extra.loss.si()) / (1.0 - share.si()))));
        if machine.is_none() && water.is_none() && loss.is_none() {
            return None;
        }
        let none = [0.0; 2];
        let on_the_field = together([machine.unwrap_or(none), water.unwrap_or(none)]);
        let in_all = together([on_the_field, loss.unwrap_or(none)]);
        let taken = Need::new(spread, OrderExtra { margin: Share::ZERO, ..extra }).ordered;
        let end = |sign: f64, field: f64, all: f64| {
            let (spread, ordered) = (spread * (1.0 + sign * field), taken * (1.0 + sign * all));
            Need { spread, margin: Mass::ZERO, loss: ordered - spread, ordered }
        };
        let ([field_low, field_high], [low, high]) = (on_the_field, in_all);
        Some([end(-1.0, field_low, low), end(1.0, field_high, high)])
    }
}

/// How far the spreader strays over all loads, as shares down and up.
fn machine(tests: Scatter, loads: usize) -> [f64; 2] {
    let t = two_sided_80(tests.tests.saturating_sub(1)).unwrap_or(0.0);
    let mean = 1.0 / tests.tests.max(1) as f64 + 1.0 / loads.max(1) as f64;
    [(t * tests.spread.si() * mean.sqrt()).min(1.0); 2]
}

/// How far factors at the least and at the most are from one, down and up.
fn off([least, most]: [f64; 2]) -> [f64; 2] {
    [(1.0 - least).max(0.0), (most - 1.0).max(0.0)]
}

fn together([one, other]: [[f64; 2]; 2]) -> [f64; 2] {
    let [[down, up], [other_down, other_up]] = [one, other];
    [libm::hypot(down, other_down).min(1.0), libm::hypot(up, other_up)]
}

#[cfg(test)]
mod tests {
    use super::*;

    const EXTRA: OrderExtra = OrderExtra { loss: Share::percent(2.0), margin: Share::percent(3.0) };

    fn ends(variation: Variation, product: Option<Product>) -> Option<[[f64; 3]; 2]> {
        let ends = variation.ends(Mass::tons(98.0), EXTRA, product, 9)?;
        Some(ends.map(|need| [need.spread, need.loss, need.ordered].map(Mass::as_tons)))
    }

    fn near(found: [[f64; 3]; 2], expected: [[f64; 3]; 2]) {
        for (found, expected) in found.as_flattened().iter().zip(expected.as_flattened()) {
            assert!((found - expected).abs() < 5e-4, "{found} for {expected}");
        }
    }

    #[test]
    fn of_what_nothing_is_known_nothing_is_said() {
        assert_eq!(ends(Variation::default(), None), None);
    }

    /// By hand: 3 tests with s = 2 % and 9 loads, t(2) = 1.886: 1.886 x 2 % x (1/3 + 1/9)^(1/2) =
    /// 2.5147 %, of 98 tons 2.4644, of the 100 that are taken 2.5147.
    #[test]
    fn the_spreader() {
        let scatter = Scatter { tests: 3, spread: Share::percent(2.0) };
        let found = ends(Variation { weigh_tests: Some(scatter), ..Variation::default() }, None);
        near(found.unwrap(), [[95.5356, 1.9497, 97.4853], [100.4644, 2.0503, 102.5147]]);
    }

    /// By hand: with 0 to 5 % lost the 98 tons take 98 and 98 / 0.95 = 103.1579.
    #[test]
    fn what_is_lost() {
        let loss = Some([Share::ZERO, Share::percent(5.0)]);
        let found = ends(Variation { loss, ..Variation::default() }, None).unwrap();
        near(found, [[98.0, 0.0, 98.0], [98.0, 5.1579, 103.1579]]);
    }

    /// By hand: for the same gypsum product of 5 % water is 0.91 / 0.95 = 95.789 % of one of 9 %, one
    /// of 13 % 0.91 / 0.87 = 104.598 %. Together with the loss, down the root of 4.2105 and 2 squared
    /// (4.6614 %), up that of 4.5977 and 3.1579 (5.5779 %).
    #[test]
    fn water_counts_where_rates_are_pure_gypsum() {
        let product = Product { purity: Share::percent(92.0), moisture: Share::percent(9.0) };
        let moisture = Some([Share::percent(5.0), Share::percent(13.0)]);
        let wet = Variation { moisture, ..Variation::default() };
        let found = ends(wet, Some(product)).unwrap();
        near(found, [[93.8737, 1.9158, 95.7895], [102.5057, 2.0920, 104.5977]]);
        let both = Variation { loss: Some([Share::ZERO, Share::percent(5.0)]), ..wet };
        let [low, high] = ends(both, Some(product)).unwrap();
        assert!((low[2] - 95.3386).abs() < 5e-4 && (high[2] - 105.5779).abs() < 5e-4);
        assert_eq!(ends(wet, None), None, "no product, no water");
    }
}
