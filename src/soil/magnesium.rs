use super::Cations;
use crate::units::{Quantity, Share};

/// Under this CEC, in meq/100 g, a soil holds little against being leached. It is the break under
/// which the usual tiers spread least: common practice, no source.
pub const LOW_CEC: f64 = 10.0;

/// Magnesium is short at or under this share of exchangeable calcium, magnesium and potassium.
pub const LEAST_MAGNESIUM: Share = Share::percent(3.0);

/// Whether magnesium is short beside the other bases: it should be above 3 % of exchangeable
/// calcium, magnesium and potassium, and more than potassium, in equivalents (Michigan State
/// University Extension, J. Isleib, "Understanding base saturation ratios on your MSU soil test
/// report").
#[must_use]
pub fn is_short_of_magnesium(cations: &Cations) -> bool {
    let Cations { potassium, magnesium, calcium, .. } = *cations;
    let least = LEAST_MAGNESIUM.si() * (potassium + magnesium + calcium);
    magnesium <= least || magnesium <= potassium
}

/// Whether gypsum deserves a second thought for the magnesium: its calcium takes magnesium's
/// exchange sites, and a soil of low CEC has little of it to lose.
#[must_use]
pub fn magnesium_at_risk(cec: f64, cations: &Cations) -> bool {
    cec < LOW_CEC && is_short_of_magnesium(cations)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cations(potassium: f64, magnesium: f64, calcium: f64) -> Cations {
        Cations { potassium, magnesium, calcium, sodium: None }
    }

    /// The example that Michigan State University Extension prints: 6.8 % K and 4.2 % Mg is short.
    #[test]
    fn michigan_example() {
        assert!(is_short_of_magnesium(&cations(6.8, 4.2, 89.0)));
        assert!(!is_short_of_magnesium(&cations(4.2, 6.8, 89.0)));
        assert!(is_short_of_magnesium(&cations(1.0, 3.0, 96.0)));
        assert!(!is_short_of_magnesium(&cations(1.0, 3.1, 95.9)));
    }

    #[test]
    fn only_a_low_cec_is_at_risk() {
        let short = cations(0.3, 0.1, 4.0);
        assert!(magnesium_at_risk(9.9, &short));
        assert!(!magnesium_at_risk(10.0, &short));
        assert!(!magnesium_at_risk(5.0, &cations(0.1, 1.0, 3.0)));
    }
}
