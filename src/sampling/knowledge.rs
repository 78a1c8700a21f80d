use std::f64::consts::PI;

use super::gauss_legendre::BLOCK;
use super::misplaced::Place;
use crate::soil::{TierIndex, Tiers};
use crate::units::Quantity;

/// The rate that is expected to be off at a place, kg/m², by the correlation of what will be known
/// with the truth: 0, and so many even steps up to 1.
///
/// What will be known is normal about today's mean, with the part of the variance that is known. Where
/// rates only rise or only fall with CEC, a rate is off by the steps at the breaks that lie between the
/// two; they lie on either side of a break `h` standard deviations away with the probability
/// 2 T(h, √(1-r²)/r), which is the integral of exp(-h² / (2 cos² t)) / π from 0 to arccos r (D. B.
/// Owen, "Tables for computing bivariate normal probabilities", *Annals of Mathematical Statistics*
/// 27, 1956, 1075-1090). Each step goes on from that above it.
pub(super) fn misplaced_by_knowledge(
    mean: f64,
    variance: f64,
    tiers: &Tiers,
    steps: usize,
) -> Vec<f64> {
    let correlation = |step: usize| step as f64 / steps as f64;
    let rates: Vec<f64> =
        (0..tiers.tiers().len()).map(|tier| tiers.rate_of(TierIndex::of(tier)).si()).collect();
    if !(rates.is_sorted() || rates.iter().rev().is_sorted()) {
        let at = |step: usize| {
            let map = variance * correlation(step).powi(2);
            Place { mean, truth: variance, map, together: map }.expected(tiers).off().si()
        };
        return (0..=steps).map(at).collect();
    }
    let mut off = vec![0.0; steps + 1];
    for (class, pair) in (0..).zip(rates.windows(2)) {
        let &[below, above] = pair else { continue };
        let apart = (tiers.break_above(class) - mean).powi(2) / variance;
        let apart = if apart.is_nan() { 0.0 } else { apart };
        let density = |angle: f64| libm::exp(-0.5 * apart / libm::cos(angle).powi(2)) / PI;
        let (mut sum, mut from) = (0.0, 0.0);
        for (step, off) in off.iter_mut().enumerate().rev() {
            let to = libm::acos(correlation(step));
            let half = 0.5 * (to - from);
            sum += BLOCK
                .iter()
                .map(|(at, weight)| half * weight * density(from + half * (1.0 + at)))
                .sum::<f64>();
            *off += sum * (above - below).abs();
            from = to;
        }
    }
    off
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tiers(written: &[&str]) -> Tiers {
        let settings: Vec<_> = written.iter().map(|text| text.parse().unwrap()).collect();
        Tiers::new(&settings).unwrap()
    }

    /// Two ways to one number: by what the map may show, and by the breaks between map and truth.
    #[test]
    fn breaks_and_what_is_shown_come_to_the_same() {
        for tiers in [
            Tiers::common_practice(),
            tiers(&["under 9: 3 ton/ac", "9 to 20: 2 ton/ac", "over 20: 0.5 ton/ac"]),
        ] {
            for (mean, variance) in [(12.0, 16.0), (10.0, 1.0), (15.2, 0.04), (8.0, 30.0)] {
                let found = misplaced_by_knowledge(mean, variance, &tiers, 24);
                for (step, found) in found.into_iter().enumerate() {
                    let map = variance * (step as f64 / 24.0).powi(2);
                    let place = Place { mean, truth: variance, map, together: map };
                    let expected = place.expected(&tiers).off().si();
                    // 0.01 lb/ac; the integral over what is shown is that good.
                    assert!(
                        (found - expected).abs() < 1e-6,
                        "{mean} {variance} {step}: {found} {expected}"
                    );
                }
            }
        }
    }

    /// W. F. Sheppard's formula again, for a break at the mean: `acos(r) / pi` are wrong.
    #[test]
    fn a_break_at_the_mean_is_sheppards_formula() {
        let tiers = tiers(&["under 12: 1 ton/ac", "from 12: 3 ton/ac"]);
        let step = crate::units::Rate::tons_per_acre(2.0).si();
        for (number, off) in misplaced_by_knowledge(12.0, 16.0, &tiers, 8).into_iter().enumerate() {
            let wrong = (number as f64 / 8.0).acos() / PI;
            assert!((off - step * wrong).abs() < 1e-12);
        }
    }

    /// Rates that fall and rise again are no sum of steps.
    #[test]
    fn rates_that_turn_are_looked_at_tier_by_tier() {
        let tiers = tiers(&["under 9: 2 ton/ac", "9 to 11: 0 ton/ac", "over 11: 2 ton/ac"]);
        let nothing_known = misplaced_by_knowledge(10.0, 1.0, &tiers, 4)[0];
        // P(1) = 0.84134 (Abramowitz and Stegun, table 26.1): beyond 9 and 11 lie 2 * 0.15866.
        let expected = crate::units::Rate::tons_per_acre(2.0).si() * 2.0 * 0.158_655_3;
        assert!((nothing_known - expected).abs() < 1e-7);
    }
}
