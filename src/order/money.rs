use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Sub};

use serde::Deserialize;

use super::Need;
use crate::units::{Area, Mass, round_to};

/// An amount of whatever the job's prices are in. It prints with two decimals and commas between
/// thousands.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Money(pub f64);

impl Money {
    /// Decimals of a printed amount.
    pub const DECIMALS: u32 = 2;

    /// The amount as printed.
    #[must_use]
    pub fn rounded(self) -> f64 {
        round_to(self.0, Self::DECIMALS)
    }
}

impl Money {
    /// The amount to a whole unit of money, with commas.
    #[must_use]
    pub fn without_cents(self) -> String {
        let text = Self(self.0.round()).to_string();
        text.split_once('.').map_or(text.clone(), |(whole, _)| whole.to_owned())
    }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::default(), Add::add)
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let plain = format!("{:.2}", self.rounded().abs());
        let (whole, decimals) = plain.split_once('.').unwrap_or((&plain, "00"));
        if self.rounded() < 0.0 {
            f.write_str("-")?;
        }
        for (place, digit) in whole.chars().enumerate() {
            if place > 0 && (whole.len() - place) % 3 == 0 {
                f.write_str(",")?;
            }
            write!(f, "{digit}")?;
        }
        write!(f, ".{decimals}")
    }
}

/// What the price of spreading is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SpreadingPer {
    /// An acre that is spread.
    Acre,
    /// A hectare that is spread.
    Hectare,
    /// A short ton that is spread.
    Ton,
    /// A tonne that is spread.
    Tonne,
}

/// What a job says about prices.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Prices {
    /// A mass of product, delivered, and what it costs.
    pub product: Option<(Mass, Money)>,
    /// What spreading costs.
    pub spreading: Option<(SpreadingPer, Money)>,
}

/// A count as printed, with two decimals, times its price, to the cent: whoever checks a bill has
/// nothing but what is printed.
fn billed(count: f64, price: Money) -> Money {
    // In hundredths, which are whole, so that half a cent is just that.
    let hundredths = (100.0 * count).round();
    Money((price.0 * hundredths).round() / 100.0)
}

impl Prices {
    /// The price of a mass of product, as the mass is printed.
    #[must_use]
    pub fn of_product(&self, mass: Mass) -> Option<Money> {
        self.product.map(|(each, price)| billed(mass / each, price))
    }

    /// The price of spreading a mass on an area, as they are printed.
    #[must_use]
    pub fn of_spreading(&self, mass: Mass, area: Area) -> Option<Money> {
        self.spreading.map(|(per, price)| {
            let count = match per {
                SpreadingPer::Acre => area.as_acres(),
                SpreadingPer::Hectare => area.as_hectares(),
                SpreadingPer::Ton => mass.as_tons(),
                SpreadingPer::Tonne => mass.as_tonnes(),
            };
            billed(count, price)
        })
    }
}

/// What a field costs: nothing where there is no price for a part of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cost {
    /// The product that is ordered, before it is rounded up to whole deliveries: what is over
    /// serves another field.
    pub product: Money,
    /// Spreading it.
    pub spreading: Money,
}

impl Cost {
    /// The cost of a need on an area; none without a price.
    #[must_use]
    pub fn new(prices: Prices, need: &Need, area: Area) -> Option<Self> {
        let product = prices.of_product(need.ordered);
        let spreading = prices.of_spreading(need.spread, area);
        (product.is_some() || spreading.is_some()).then(|| Self {
            product: product.unwrap_or_default(),
            spreading: spreading.unwrap_or_default(),
        })
    }

    /// Both.
    #[must_use]
    pub fn total(&self) -> Money {
        self.product + self.spreading
    }

    /// The product, spreading and the total as printed: they add up, for each part is in cents.
    #[must_use]
    pub fn printed(&self) -> [Money; 3] {
        [self.product, self.spreading, self.total()]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::OrderExtra;
    use crate::units::Share;

    #[test]
    fn thousands_are_readable() {
        for (amount, text) in [
            (0.0, "0.00"),
            (999.994, "999.99"),
            (999.995_1, "1,000.00"),
            (12_345_678.9, "12,345,678.90"),
            (-1234.5, "-1,234.50"),
            (-0.001, "0.00"),
        ] {
            assert_eq!(Money(amount).to_string(), text);
        }
        assert_eq!(Money(12_345.5).without_cents(), "12,346");
    }

    /// By hand: 105.10204 tons are ordered, printed as 105.10, and 105.10 x 38.50 = 4,046.35; 60 ac
    /// at 11.00 are 660.00; by the ton that is spread 100 x 11.00 = 1,100.00.
    #[test]
    fn product_and_spreading() {
        let extra = OrderExtra { loss: Share::percent(2.0), margin: Share::percent(3.0) };
        let need = Need::new(Mass::tons(100.0), extra);
        let cost = |spreading| {
            let prices = Prices { product: Some((Mass::tons(1.0), Money(38.5))), spreading };
            Cost::new(prices, &need, Area::acres(60.0)).unwrap().printed().map(|m| m.to_string())
        };
        let per = |per| Some((per, Money(11.0)));
        assert_eq!(cost(per(SpreadingPer::Acre)), ["4,046.35", "660.00", "4,706.35"]);
        assert_eq!(cost(per(SpreadingPer::Ton)), ["4,046.35", "1,100.00", "5,146.35"]);
        assert_eq!(cost(None), ["4,046.35", "0.00", "4,046.35"]);
        assert_eq!(Cost::new(Prices::default(), &need, Area::acres(60.0)), None);
    }

    /// By hand: 132.637 tons are printed as 132.64, and 132.64 x 12.50 = 1,658.00, though 132.637 x
    /// 12.50 = 1,657.96; 0.444 ac are printed as 0.44, and 0.44 x 0.333 = 0.14652.
    #[test]
    fn money_is_what_is_printed_times_the_price() {
        let prices = Prices {
            product: Some((Mass::tons(1.0), Money(12.5))),
            spreading: Some((SpreadingPer::Acre, Money(0.333))),
        };
        let need = Need::new(Mass::tons(132.637), OrderExtra::default());
        let cost = Cost::new(prices, &need, Area::acres(0.444)).unwrap();
        assert_eq!(cost.printed().map(|m| m.to_string()), ["1,658.00", "0.15", "1,658.15"]);
    }
}
