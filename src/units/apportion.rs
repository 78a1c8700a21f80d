/// Rounds to a number of decimals, halves away from zero.
#[must_use]
pub fn round_to(value: f64, decimals: u32) -> f64 {
    let scale = scale(decimals);
    // Adding zero makes a negative zero, as an empty sum has it, a plain one.
    (value * scale).round() / scale + 0.0
}

/// Rounds the parts so that they add up, digit for digit, to `total` as printed.
///
/// Largest-remainder method: every part is rounded down, then the units that are missing go to the
/// parts with the largest remainders, the earlier part first among equals. Each part moves by less
/// than one unit of the last decimal when `total` is the rounded sum of the parts.
#[must_use]
pub fn apportion(parts: &[f64], total: f64, decimals: u32) -> Vec<f64> {
    if parts.is_empty() {
        return Vec::new();
    }
    let scale = scale(decimals);
    let mut units: Vec<f64> = parts.iter().map(|part| (part * scale).floor()).collect();
    let remainder = |i: &usize| parts.get(*i).map_or(0.0, |p| p * scale - (p * scale).floor());
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|a, b| remainder(b).total_cmp(&remainder(a)).then(a.cmp(b)));
    let mut missing = (total * scale).round() - units.iter().sum::<f64>();
    // What would go round several times is given at once, so that no size of a number takes long.
    let rounds = (missing / parts.len() as f64).floor();
    if rounds >= 1.0 {
        for unit in &mut units {
            *unit += rounds;
        }
        missing -= rounds * parts.len() as f64;
    }
    for &i in &order {
        if missing < 1.0 {
            break;
        }
        if let Some(unit) = units.get_mut(i) {
            *unit += 1.0;
            missing -= 1.0;
        }
    }
    for &i in order.iter().rev().cycle().take(2 * parts.len()) {
        if missing > -1.0 {
            break;
        }
        if let Some(unit) = units.get_mut(i).filter(|unit| **unit >= 1.0) {
            *unit -= 1.0;
            missing += 1.0;
        }
    }
    units.into_iter().map(|unit| unit / scale + 0.0).collect()
}

/// The parts of a whole as percentages that add up to 100 as printed; zeros where there is no whole.
#[must_use]
pub fn percentages(parts: &[f64], decimals: u32) -> Vec<f64> {
    let whole: f64 = parts.iter().sum();
    if whole <= 0.0 {
        return vec![0.0; parts.len()];
    }
    let exact: Vec<f64> = parts.iter().map(|part| 100.0 * part / whole).collect();
    apportion(&exact, 100.0, decimals)
}

fn scale(decimals: u32) -> f64 {
    f64::from(10_u32.saturating_pow(decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_add_up() {
        assert_eq!(apportion(&[1.0 / 3.0; 3], 1.0, 2), [0.34, 0.33, 0.33]);
    }

    /// 65.5 and 24.5 and 10: each rounded by itself would be 101.
    #[test]
    fn percentages_are_a_hundred() {
        assert_eq!(percentages(&[131.0, 49.0, 20.0], 0), [66.0, 24.0, 10.0]);
        assert_eq!(percentages(&[1.0; 3], 1), [33.4, 33.3, 33.3]);
        assert_eq!(percentages(&[0.0; 3], 0), [0.0; 3]);
    }

    #[test]
    fn a_total_below_the_parts_takes_from_the_smallest_remainder() {
        assert_eq!(apportion(&[1.26, 2.29], 3.5, 1), [1.2, 2.3]);
        assert_eq!(apportion(&[1.20, 2.30], 3.4, 1), [1.2, 2.2]);
    }

    /// Numbers so large that one more is the same number, and none at all: it ends.
    #[test]
    fn no_size_takes_long() {
        assert_eq!(apportion(&[1.0, 1.0], 7.0, 0), [4.0, 3.0]);
        assert_eq!(apportion(&[1.0, 1.0], 2e12, 0), [1e12, 1e12]);
        for total in [1e300, f64::MAX, f64::INFINITY, f64::NAN, -1e300] {
            for parts in [&[1e299, 3e299][..], &[0.1, 0.2, f64::NAN], &[1.0]] {
                assert_eq!(apportion(parts, total, 2).len(), parts.len());
            }
        }
    }

    #[test]
    fn no_zero_is_negative() {
        let empty: f64 = std::iter::empty::<f64>().sum();
        assert!(round_to(empty, 2).is_sign_positive());
        assert!(apportion(&[empty], empty, 2).iter().all(|part| part.is_sign_positive()));
    }

    #[test]
    fn nothing_to_share() {
        assert!(apportion(&[], 0.0, 2).is_empty());
        assert_eq!(apportion(&[0.0, 0.0], 0.0, 2), [0.0, 0.0]);
    }

    #[test]
    fn halves_round_away_from_zero() {
        assert_eq!(round_to(2.5, 0), 3.0);
        assert_eq!(round_to(-2.5, 0), -3.0);
        assert_eq!(round_to(1.005_1, 2), 1.01);
    }
}
