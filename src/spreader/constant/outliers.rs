/// A modified z-score beyond this is an outlier's (B. Iglewicz and D. C. Hoaglin, *How to Detect and
/// Handle Outliers*, 1993).
const LIMIT: f64 = 3.5;

/// The median absolute deviation of normal values is so many standard deviations.
const QUARTILE: f64 = 0.6745;

/// Loads that are weighed well scatter by this much of their mean at least (common practice, no
/// source): three that agree by chance do not make an outlier of a fourth.
const LEAST_SCATTER: f64 = 0.02;

/// The fewest among which one can be told from the others.
const FEWEST: usize = 3;

/// Which of several constants is far from the others: a mistyped ticket, a bridged hopper.
///
/// By the distance from the median, over the median absolute deviation divided by 0.6745, which no
/// wild value moves as long as more than half are sound. Of two none can be told from the other.
pub(super) fn are_outliers(constants: &[f64]) -> Vec<bool> {
    let middle = median(constants.to_vec());
    let away: Vec<f64> = constants.iter().map(|constant| (constant - middle).abs()).collect();
    let deviation = (median(away.clone()) / QUARTILE).max(LEAST_SCATTER * middle);
    let is_far = |away: &f64| constants.len() >= FEWEST && *away > LIMIT * deviation;
    away.iter().map(is_far).collect()
}

/// NaN of none.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let at = |place: usize| values.get(place).copied().unwrap_or(f64::NAN);
    f64::midpoint(at(values.len() / 2), at(values.len().saturating_sub(1) / 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mass spectrometer readings of a uranium isotope (NIST/SEMATECH e-Handbook of Statistical
    /// Methods, 1.3.5.17.1): its Grubbs test names 245.57 alone. The median is 201.37, so that
    /// scatter of 2 % is 4.03 and 245.57 lies 11 times that away.
    #[test]
    fn the_one_of_the_nist_handbook() {
        let readings = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
        assert_eq!(are_outliers(&readings).iter().position(|wild| *wild), Some(7));
        assert_eq!(are_outliers(&readings).iter().filter(|wild| **wild).count(), 1);
    }

    /// By hand: 7 % is 3.5 times 2 %.
    #[test]
    fn scatter_of_well_weighed_loads_is_none() {
        assert_eq!(are_outliers(&[2.0, 2.0, 2.0, 2.13]), [false; 4]);
        assert_eq!(are_outliers(&[2.0, 2.0, 2.0, 2.15]), [false, false, false, true]);
        assert_eq!(are_outliers(&[2.0, 9.0]), [false; 2]);
        assert_eq!(are_outliers(&[]), [false; 0]);
    }
}
