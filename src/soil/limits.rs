//! The lowest and the highest rate that a job spreads, and rates that are higher than usual.

use super::{Tier, Tiers};
use crate::units::{Quantity, Rate};
use crate::warning::Warning;

/// Above this a rate is more than is usually spread in one pass: common practice, no source.
const USUAL_MOST: Rate = Rate::tons_per_acre(2.0);

/// Above this a rate is more likely a mistaken unit than meant: less reclaims a sodic soil (common
/// practice, no source).
pub const PLAUSIBLE_MOST: Rate = Rate::tons_per_acre(20.0);

/// Rates closer than this are equal: the rounding of units (4000 lb/ac is 2 ton/ac), far below what
/// any spreader holds.
const SAME: f64 = 1e-9;

/// The lowest and the highest rate that is spread, where there are such.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RateLimits {
    /// The lowest, where anything is spread at all.
    pub min: Option<Rate>,
    /// The highest.
    pub max: Option<Rate>,
}

impl RateLimits {
    /// Brings the tiers' rates within the limits. A tier of rate 0 is not spread, and stays so.
    /// Gives the tiers and a warning for each that was changed.
    #[must_use]
    pub fn hold(
        &self,
        mut tiers: Tiers,
        pure: impl Fn(Rate) -> Option<Rate>,
    ) -> (Tiers, Vec<Warning>) {
        let mut warnings = Vec::new();
        for (i, tier) in tiers.all_mut().enumerate() {
            let (held, limit) = match (self.min, self.max) {
                (_, Some(max)) if tier.rate > max => (max, "over max_rate"),
                (Some(min), _) if tier.rate < min && tier.rate > Rate::ZERO => {
                    (min, "under min_rate")
                }
                _ => continue,
            };
            let (tier_name, found) = (named(i, tier), tier.rate);
            warnings.push(Warning::RateLimited {
                tier: tier_name,
                pure: pure(found),
                found,
                limit,
                planned: held,
            });
            tier.rate = held;
        }
        (tiers, warnings)
    }
}

/// A warning for each tier whose rate is more than 2 ton/ac, which is more than is commonly spread
/// at once: common practice, no source. `pure` is what a rate of product is of pure gypsum, where the job
/// says that.
#[must_use]
pub fn high_tiers(tiers: &Tiers, pure: impl Fn(Rate) -> Option<Rate>) -> Vec<Warning> {
    let high = tiers.all().enumerate().filter(|(_, tier)| is_high(tier.rate));
    let warning = |(i, tier): (usize, &Tier)| {
        let (what, rate) = (named(i, tier), tier.rate);
        Warning::RateHigh { what, rate, pure: pure(rate) }
    };
    high.map(warning).collect()
}

/// A warning if a field's mean rate is more than 2 ton/ac, which is more than is commonly spread at
/// once: common practice, no source.
#[must_use]
pub fn high_mean(rate: Rate, pure: Option<Rate>) -> Option<Warning> {
    let what = || "mean rate of the field".to_owned();
    is_high(rate).then(|| Warning::RateHigh { what: what(), rate, pure })
}

fn is_high(rate: Rate) -> bool {
    rate.si() > USUAL_MOST.si() * (1.0 + SAME)
}

fn named(i: usize, tier: &Tier) -> String {
    format!("tier {}, {}", i + 1, tier.label)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tons(tiers: &Tiers) -> Vec<f64> {
        tiers.tiers().iter().map(|tier| tier.rate.as_tons_per_acre()).collect()
    }

    /// The usual tiers with other rates, tons per acre.
    fn of(rates: [f64; 3]) -> Tiers {
        let mut tiers = Tiers::common_practice();
        for (tier, rate) in tiers.all_mut().zip(rates) {
            tier.rate = Rate::tons_per_acre(rate);
        }
        tiers
    }

    #[test]
    fn rates_are_held_and_each_change_is_told() {
        let limits = RateLimits {
            min: Some(Rate::tons_per_acre(0.25)),
            max: Some(Rate::tons_per_acre(2.0)),
        };
        let (held, warnings) = limits.hold(of([0.1, 1.0, 2.5]), |_| None);
        assert_eq!(tons(&held), [0.25, 1.0, 2.0]);
        assert_eq!(
            crate::report::warnings::said(&warnings),
            [
                "tier 1, CEC under 10: 0.10 ton/ac is under min_rate, planned with 0.25 ton/ac",
                "tier 3, CEC over 15: 2.50 ton/ac is over max_rate, planned with 2.00 ton/ac",
            ]
        );
        let (held, warnings) = limits.hold(of([0.0, 0.25, 2.0]), |_| None);
        assert_eq!((tons(&held), warnings), (vec![0.0, 0.25, 2.0], vec![]));
        let (held, warnings) = RateLimits::default().hold(of([0.1, 1.0, 9.0]), |_| None);
        assert_eq!((tons(&held), warnings), (vec![0.1, 1.0, 9.0], vec![]));
    }

    #[test]
    fn high_rates_are_warned_of_and_equal_ones_are_not() {
        assert!(high_tiers(&Tiers::common_practice(), |_| None).is_empty());
        assert_eq!(
            crate::report::warnings::said(&high_tiers(&of([0.5, 2.01, 3.0]), |_| None)),
            [
                "tier 2, CEC 10 to 15: 2.01 ton/ac is more than is usually spread in one pass (common practice, no source)",
                "tier 3, CEC over 15: 3.00 ton/ac is more than is usually spread in one pass (common practice, no source)",
            ]
        );
        assert_eq!(high_mean(Rate::pounds_per_acre(4000.0), None), None);
        let rate = Rate::tonnes_per_hectare(5.0);
        let what = "mean rate of the field".to_owned();
        assert_eq!(high_mean(rate, None), Some(Warning::RateHigh { what, rate, pure: None }));
    }

    /// Who writes pure gypsum reads both: 92 % of 91 % of 2.5 ton/ac is 2.09, by hand.
    #[test]
    fn rates_of_pure_gypsum_are_told_as_such() {
        let pure = |rate: Rate| Some(rate * (0.92 * 0.91));
        assert_eq!(
            crate::report::warnings::said(&high_tiers(&of([0.5, 1.0, 2.5]), pure)),
            [
                "tier 3, CEC over 15: 2.50 ton/ac as spread (2.09 ton/ac of pure gypsum) is more than is usually spread in one pass (common practice, no source)"
            ]
        );
        let limits = RateLimits { max: Some(Rate::tons_per_acre(2.0)), min: None };
        assert_eq!(
            crate::report::warnings::said(&limits.hold(of([0.5, 1.0, 2.5]), pure).1),
            [
                "tier 3, CEC over 15: 2.50 ton/ac as spread (2.09 ton/ac of pure gypsum) is over max_rate, planned with 2.00 ton/ac"
            ]
        );
    }
}
