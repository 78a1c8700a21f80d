use serde::Deserialize;

use crate::units::{Quantity, Rate, Share};

/// What rates are tons of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
pub enum RateBasis {
    /// Product as it leaves the spreader, with its water and its other minerals.
    #[default]
    #[serde(rename = "as spread")]
    AsSpread,
    /// Gypsum, CaSO4.2H2O, alone.
    #[serde(rename = "pure gypsum")]
    PureGypsum,
}

/// What is in the product.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Product {
    /// Gypsum, as a share of the dry mass.
    pub purity: Share,
    /// Water, as a share of the mass as spread (wet basis), beside the water in the gypsum's own
    /// crystals.
    pub moisture: Share,
}

impl Product {
    /// How many tons of product hold one of pure gypsum: 1 / (purity x (1 - moisture)).
    ///
    /// Moisture on a dry basis, water by dry mass, would be another number: 20 % of that is 16.7 %
    /// of this.
    #[must_use]
    pub fn per_pure(&self) -> f64 {
        1.0 / (self.purity.si() * (1.0 - self.moisture.si()))
    }

    /// The rate of product that spreads a rate of pure gypsum.
    #[must_use]
    pub fn as_spread(&self, pure: Rate) -> Rate {
        pure * self.per_pure()
    }

    /// The pure gypsum in a rate of product.
    #[must_use]
    pub fn pure(&self, as_spread: Rate) -> Rate {
        as_spread / self.per_pure()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 92 % of 91 % is 83.72 %, so 1 ton/ac of gypsum takes 1 / 0.8372 = 1.194458 ton/ac.
    #[test]
    fn product_and_gypsum() {
        let product = Product { purity: Share::percent(92.0), moisture: Share::percent(9.0) };
        let spread = product.as_spread(Rate::tons_per_acre(1.0));
        assert!((spread.as_tons_per_acre() - 1.194_458).abs() < 5e-7);
        assert!((product.pure(spread).as_tons_per_acre() - 1.0).abs() < 1e-12);
        let pure = Product { purity: Share::percent(100.0), moisture: Share::ZERO };
        assert_eq!(pure.per_pure(), 1.0);
    }
}
