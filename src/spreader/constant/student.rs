/// Student's t for a two-sided 95 % interval, for 1 to 30 degrees of freedom: NIST/SEMATECH
/// e-Handbook of Statistical Methods, 1.3.6.7.2, column 0.975.
const TABLE: [f64; 30] = [
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160,
    2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056,
    2.052, 2.048, 2.045, 2.042,
];

/// Student's t for a two-sided 95 % interval.
///
/// From the table up to 30 degrees of freedom (three decimals), beyond it by the expansion of
/// Abramowitz and Stegun 26.7.5, whose error there is below 1e-5. Nothing for zero degrees of
/// freedom: one test alone has no interval.
#[must_use]
pub fn two_sided_95(degrees_of_freedom: usize) -> Option<f64> {
    let at = degrees_of_freedom.checked_sub(1)?;
    if let Some(tabled) = TABLE.get(at) {
        return Some(*tabled);
    }
    let z = 1.959_963_984_540_054_f64;
    let n = degrees_of_freedom as f64;
    let first = (z.powi(3) + z) / 4.0;
    let second = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
    Some(z + first / n + second / n.powi(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook, 1.3.6.7.2: 40, 60 and 100 degrees of freedom.
    #[test]
    fn beyond_the_table() {
        for (freedom, expected) in [(40, 2.021), (60, 2.000), (100, 1.984)] {
            let t = two_sided_95(freedom).unwrap();
            assert!((t - expected).abs() < 5e-4, "{freedom}: {t}");
        }
        assert_eq!(two_sided_95(0), None);
        assert_eq!(two_sided_95(4), Some(2.776));
    }
}
