use super::gauss_legendre::PIECE;
use crate::certainty::tier_odds;
use crate::soil::{TierIndex, Tiers};
use crate::surface::Truth;
use crate::units::Rate;

/// Standard deviations beyond which nothing is looked at: one in 10¹⁰.
const REACH: f64 = 6.5;

/// What may be expected of a map at a place, before its samples are known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Expected {
    /// The probability that it gives the place its right tier, 0 to 1.
    pub right: f64,
    /// The rate that is wanting, on average.
    pub short: Rate,
    /// The rate that is too much, on average.
    pub over: Rate,
    /// The variance of the right rate about what the map makes expected, (kg/m²)².
    pub variance: f64,
}

impl Expected {
    /// The rate that is off, either way, on average.
    #[must_use]
    pub fn off(&self) -> Rate {
        self.short + self.over
    }

    pub(super) fn add(&mut self, other: &Self, weight: f64) {
        self.right += weight * other.right;
        self.short = self.short + other.short * weight;
        self.over = self.over + other.over * weight;
        self.variance += weight * other.variance;
    }
}

/// The truth and the map's value at a place: jointly normal with one mean.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub mean: f64,
    /// The variances of truth and map, and their covariance.
    pub truth: f64,
    pub map: f64,
    pub together: f64,
}

impl Place {
    /// The integral over what the map may show, of what the truth then is: piece by piece between the
    /// tiers' breaks, each piece short enough for eight places of Gauss and Legendre. Accurate to
    /// 1e-6 of the rates.
    pub fn expected(&self, tiers: &Tiers) -> Expected {
        let spread = self.map.max(0.0).sqrt();
        if spread < 1e-9 * self.truth.sqrt() {
            return self.given(self.mean, 0.0, self.truth, tiers);
        }
        let slope = self.together / self.map;
        let left = (self.truth - slope * self.together).max(0.0);
        let (low, high) = (self.mean - REACH * spread, self.mean + REACH * spread);
        let breaks = (0..tiers.tiers().len().saturating_sub(1))
            .map(|class| tiers.break_above(u32::try_from(class).unwrap_or(u32::MAX)));
        let mut ends: Vec<f64> = breaks.filter(|end| (low..high).contains(end)).collect();
        ends.push(high);
        let longest = spread.min(2.0 * left.sqrt()).max(spread / 12.0);
        let (mut all, mut from) = (Expected::default(), low);
        for end in ends {
            let pieces = ((end - from) / longest).ceil().max(1.0);
            let half = 0.5 * (end - from) / pieces;
            let mut middle = from + half;
            while middle < end {
                for (at, weight) in PIECE {
                    let value = middle + half * at;
                    let z = (value - self.mean) / spread;
                    let density = libm::exp(-0.5 * z * z) / (spread * std::f64::consts::TAU.sqrt());
                    all.add(&self.given(value, slope, left, tiers), half * weight * density);
                }
                middle += 2.0 * half;
            }
            from = end;
        }
        all
    }

    /// What may be expected where the map shows a value.
    fn given(&self, value: f64, slope: f64, variance: f64, tiers: &Tiers) -> Expected {
        let mean = self.mean + slope * (value - self.mean);
        let odds = tier_odds(Truth { mean, sd: variance.sqrt() }, tiers);
        let shown = tiers.tier_of(value);
        let planned = tiers.rate_of(shown);
        let mut all = Expected::default();
        let (mut first, mut second) = (0.0, 0.0);
        for (number, odds) in odds.into_iter().enumerate() {
            let rate = tiers.rate_of(TierIndex::of(number));
            let off = rate - planned;
            if off > Rate::ZERO {
                all.short = all.short + off * odds;
            } else {
                all.over = all.over - off * odds;
            }
            if number == shown.index() {
                all.right = odds;
            }
            let si = crate::units::Quantity::si(rate);
            first += odds * si;
            second += odds * si * si;
        }
        all.variance = (second - first * first).max(0.0);
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// For two tiers with the break at the mean, the odds of the wrong one are those of two normal
    /// values of correlation r having other signs: `acos(r) / pi` (W. F. Sheppard, *Philosophical
    /// Transactions A* 192, 1899, 101-167).
    #[test]
    fn two_tiers_are_sheppards_formula() {
        let settings = ["under 12: 1 ton/ac", "from 12: 3 ton/ac"];
        let settings: Vec<_> = settings.iter().map(|text| text.parse().unwrap()).collect();
        let tiers = Tiers::new(&settings).unwrap();
        for r in [0.0_f64, 0.2, 0.5, 0.8, 0.95, 0.99] {
            let place = Place { mean: 12.0, truth: 16.0, map: 9.0, together: r * 12.0 };
            let found = place.expected(&tiers);
            let wrong = r.acos() / std::f64::consts::PI;
            assert!((found.right - (1.0 - wrong)).abs() < 1e-6, "{r}: {}", found.right);
            assert!((found.off().as_tons_per_acre() - 2.0 * wrong).abs() < 2e-6, "{r}");
            assert!((found.short.as_tons_per_acre() - wrong).abs() < 2e-6);
        }
    }

    /// Nothing known: every place has the tier of the mean.
    #[test]
    fn a_map_that_shows_nothing_is_flat() {
        let tiers = Tiers::common_practice();
        let found = Place { mean: 12.0, truth: 16.0, map: 0.0, together: 0.0 }.expected(&tiers);
        // P(-0.5) = 0.30854 and P(-0.75) = 0.22663 (Abramowitz and Stegun, table 26.1).
        assert!((found.right - (1.0 - 0.308_537_5 - 0.226_627_4)).abs() < 1e-6);
        assert!((found.over.as_tons_per_acre() - 0.5 * 0.308_537_5).abs() < 1e-6);
        assert!((found.short.as_tons_per_acre() - 0.226_627_4).abs() < 1e-6);
    }
}
