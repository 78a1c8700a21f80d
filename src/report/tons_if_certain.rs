//! What the field would take if the map were without fault, in words.

use crate::units::{Mass, Quantity, System, told_apart};

/// What the field would take if all ground got the rate that its soil calls for, and what the map
/// takes.
#[must_use]
pub fn tons_if_certain(low: Mass, high: Mass, planned: f64, system: System) -> String {
    let acre = match system {
        System::Us => "acre",
        System::Metric => "hectare",
    };
    let unit = Mass::unit(system).plural();
    // A small field's ends may differ in decimals only.
    let takes = told_apart(low.value_in(system), high.value_in(system), 0..=2)
        .map_or_else(|| high.show(system, 2), |[low, high]| format!("{low} to {high} {unit}"));
    format!(
        "If every {acre} got the rate its soil calls for, the field would take {takes} (4 in 5); this map takes {planned:.2}.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_range_comes_before_what_the_map_takes() {
        let said = tons_if_certain(Mass::tons(178.2), Mass::tons(190.4), 184.55, System::Us);
        let expected = "If every acre got the rate its soil calls for, the field would take 178 to 190 tons (4 in 5); this map takes 184.55.";
        assert_eq!(said, expected);
        let said = tons_if_certain(Mass::tons(2.81), Mass::tons(3.24), 3.0, System::Us);
        assert!(said.contains("would take 2.8 to 3.2 tons (4 in 5)"), "{said}");
        let said = tons_if_certain(Mass::tons(3.0), Mass::tons(3.0), 3.0, System::Us);
        assert!(said.contains("would take 3.00 tons (4 in 5)"), "{said}");
    }
}
