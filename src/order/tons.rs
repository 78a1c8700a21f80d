use crate::units::{Mass, Quantity, Share, System, apportion, round_to};

/// What is ordered beside what is spread.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OrderExtra {
    /// What is lost between truck and spreader, as a share of what is delivered: the bottom of the
    /// pile, the wind, what sticks.
    pub loss: Share,
    /// The safety margin, as a share of what is spread.
    pub margin: Share,
}

/// Product for a field, exact. Fields add up by their sums.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Need {
    /// What is spread.
    pub spread: Mass,
    /// The safety margin.
    pub margin: Mass,
    /// What is lost on the way.
    pub loss: Mass,
    /// All of it, before it is rounded up to whole deliveries.
    pub ordered: Mass,
}

impl Need {
    /// Decimals of a printed mass: 0.01 ton or t.
    pub const DECIMALS: u32 = 2;

    /// The need for what is spread: ordered = spread x (1 + margin) / (1 - loss).
    #[must_use]
    pub fn new(spread: Mass, extra: OrderExtra) -> Self {
        let margin = spread * extra.margin.si();
        let ordered = (spread + margin) / (1.0 - extra.loss.si());
        Self { spread, margin, loss: ordered * extra.loss.si(), ordered }
    }

    /// What is spread, the margin, the loss and what is ordered as printed, in tons or tonnes: the
    /// first three add up to the last.
    #[must_use]
    pub fn printed(&self, system: System) -> [f64; 4] {
        let value = |mass: Mass| mass.value_in(system);
        let [spread, ordered] =
            [self.spread, self.ordered].map(|mass| round_to(value(mass), Self::DECIMALS));
        let rest = round_to(ordered - spread, Self::DECIMALS);
        let rest = apportion(&[self.margin, self.loss].map(value), rest, Self::DECIMALS);
        let part = |number: usize| rest.get(number).copied().unwrap_or(0.0);
        [spread, part(0), part(1), ordered]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 100 tons and 3 % are 103; with 2 % of the delivery lost, 103 / 0.98 = 105.102 tons,
    /// of which 2.102 are lost.
    #[test]
    fn margin_and_loss() {
        let extra = OrderExtra { loss: Share::percent(2.0), margin: Share::percent(3.0) };
        let need = Need::new(Mass::tons(100.0), extra);
        assert!((need.margin.as_tons() - 3.0).abs() < 1e-12);
        assert!((need.ordered.as_tons() - 105.102_041).abs() < 5e-7);
        assert!((need.loss.as_tons() - 2.102_041).abs() < 5e-7);
        assert!((need.spread + need.margin + need.loss - need.ordered).as_tons().abs() < 1e-12);
        assert_eq!(Need::new(Mass::tons(7.0), OrderExtra::default()).ordered, Mass::tons(7.0));
        assert_eq!(need.printed(System::Us), [100.0, 3.0, 2.1, 105.1]);
    }

    #[test]
    fn printed_parts_add_up() {
        let extra = OrderExtra { loss: Share::percent(2.0), margin: Share::percent(3.0) };
        for grams in 0..3000 {
            let need = Need::new(Mass::grams(1234.5 * f64::from(grams)), extra);
            let [spread, margin, loss, ordered] =
                need.printed(System::Metric).map(|mass| (100.0 * mass).round());
            assert_eq!(spread + margin + loss, ordered, "{need:?}");
        }
    }
}
