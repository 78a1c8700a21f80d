use std::f64::consts::FRAC_1_SQRT_2;

use super::Place;
use crate::soil::Tiers;
use crate::surface::Truth;
use crate::units::Rate;

/// In which tiers the true CEC of a place may be.
#[derive(Clone, Debug, PartialEq)]
pub struct Odds {
    /// The place.
    pub place: Place,
    /// The probability of the tier that the map gives it, 0 to 1.
    pub own: f64,
    /// The probability of each tier, from the lowest.
    pub tiers: Vec<f64>,
}

impl Odds {
    /// The odds of a place by what a new sample is expected to show there.
    pub(super) fn new(place: &Place, truth: Truth, tiers: &Tiers) -> Self {
        let odds = tier_odds(truth, tiers);
        Self {
            place: *place,
            own: odds.get(place.tier.index()).copied().unwrap_or(0.0),
            tiers: odds,
        }
    }

    /// Each rate with its probability.
    pub(super) fn rates(&self, tiers: &Tiers) -> impl Iterator<Item = (Rate, f64)> {
        tiers.tiers().iter().map(|tier| tier.rate).zip(self.tiers.iter().copied())
    }
}

/// The probability of each tier, from the lowest, by what a new sample is expected to show.
#[must_use]
pub fn tier_odds(truth: Truth, tiers: &Tiers) -> Vec<f64> {
    let Truth { mean, sd } = truth;
    let here = tiers.tier_of(mean).index();
    let mut below = 0.0;
    let odds = (0..tiers.tiers().len()).map(|tier| {
        if sd == 0.0 {
            return f64::from(u8::from(tier == here));
        }
        let end = tiers.break_above(u32::try_from(tier).unwrap_or(u32::MAX));
        let up_to = normal((end - mean) / sd);
        up_to - std::mem::replace(&mut below, up_to)
    });
    odds.collect()
}

/// The normal distribution function.
fn normal(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::TierIndex;
    use crate::units::Area;

    fn place(value: f64) -> Place {
        let area = Area::acres(1.0);
        Place { easting: 0.0, northing: 0.0, area, zone: 1, tier: TierIndex::of(1), value }
    }

    /// Abramowitz and Stegun, *Handbook of Mathematical Functions*, table 26.1: P(0.5) =
    /// 0.69146 24613, P(1) = 0.84134 47461, P(2) = 0.97724 98681.
    #[test]
    fn odds_are_the_normal_distribution_between_breaks() {
        let odds =
            Odds::new(&place(14.0), Truth { mean: 14.0, sd: 2.0 }, &Tiers::common_practice());
        let expected = [1.0 - 0.977_249_868_1, 0.691_462_461_3 - (1.0 - 0.977_249_868_1)];
        assert!((odds.tiers[0] - expected[0]).abs() < 1e-10);
        assert!((odds.own - expected[1]).abs() < 1e-10);
        assert!((odds.tiers.iter().sum::<f64>() - 1.0).abs() < 1e-15);
        assert!((normal(1.0) - 0.841_344_746_1).abs() < 1e-10);
    }

    /// Exactly at a break the tiers' own bounds decide: 10 and 15 belong to the middle tier.
    #[test]
    fn without_error_a_place_is_in_its_tier() {
        for (value, tiers) in
            [(9.9, [1.0, 0.0, 0.0]), (10.0, [0.0, 1.0, 0.0]), (15.0, [0.0, 1.0, 0.0])]
        {
            assert_eq!(
                Odds::new(&place(value), Truth { mean: value, sd: 0.0 }, &Tiers::common_practice())
                    .tiers,
                tiers
            );
        }
    }
}
