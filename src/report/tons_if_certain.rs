//! What the field would take if the map were without fault, in words.

use crate::units::{Mass, Quantity, System};

/// What the field would take if all ground got the rate that its soil calls for, and what the map
/// takes.
#[must_use]
pub fn tons_if_certain(low: Mass, high: Mass, planned: f64, system: System) -> String {
    let acre = match system {
        System::Us => "acre",
        System::Metric => "hectare",
    };
    format!(
        "If every {acre} got the rate its soil calls for, the field would take {:.0} to {} (4 in 5); this map takes {planned:.2}.",
        low.value_in(system),
        high.show(system, 0),
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
    }
}
