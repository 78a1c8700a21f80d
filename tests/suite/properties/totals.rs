//! Printed figures add up, whatever the zones.

use landplaster::tonnage::{Amount, tonnage};
use landplaster::units::{Area, Quantity, Rate, System};
use proptest::prelude::*;

/// Hundredths, which printed figures are whole numbers of.
fn hundredths(value: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "far below 2^53")]
    let whole = (value * 100.0).round() as i64;
    assert!((value * 100.0 - whole as f64).abs() < 1e-6, "{value} has two decimals");
    whole
}

fn sums<'a>(amounts: impl Iterator<Item = &'a Amount> + Clone) -> (i64, i64) {
    let areas = amounts.clone().map(|amount| hundredths(amount.printed_area)).sum();
    (areas, amounts.map(|amount| hundredths(amount.printed_mass)).sum())
}

proptest! {
    #[test]
    fn zones_add_up_to_tiers_and_tiers_to_the_field(
        zones in prop::collection::vec((0..4_usize, 0.001..300.0_f64), 1..60),
        rates in prop::collection::vec(0.0..4.0_f64, 4),
        metric in any::<bool>(),
    ) {
        let system = if metric { System::Metric } else { System::Us };
        let zones: Vec<(usize, Area)> =
            zones.into_iter().map(|(tier, acres)| (tier, Area::acres(acres))).collect();
        let rates: Vec<Rate> = rates.into_iter().map(Rate::tons_per_acre).collect();
        let made = tonnage(&zones, &rates, system);
        let total = (hundredths(made.total.printed_area), hundredths(made.total.printed_mass));
        prop_assert_eq!(sums(made.tiers.iter()), total);
        for (tier, amount) in made.tiers.iter().enumerate() {
            let of_tier = made.zones.iter().zip(&zones).filter(|(_, zone)| zone.0 == tier);
            let printed = (hundredths(amount.printed_area), hundredths(amount.printed_mass));
            prop_assert_eq!(sums(of_tier.map(|(amount, _)| amount)), printed);
        }
        // No printed figure is more than two units of its last decimal from the exact one.
        for amount in made.zones.iter().chain(&made.tiers) {
            prop_assert!((amount.printed_area - amount.area.value_in(system)).abs() < 0.02);
            prop_assert!((amount.printed_mass - amount.mass.value_in(system)).abs() < 0.02);
        }
    }
}
