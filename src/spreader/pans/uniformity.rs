use crate::units::{Quantity, Rate, Share};

/// How even a set of rates is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uniformity {
    /// The mean.
    pub mean: Rate,
    /// Coefficient of variation: the standard deviation (n - 1, as in ASABE S341) by the mean.
    pub cv: Share,
    /// Christiansen's uniformity: 1 - sum |rate - mean| / sum of the rates (Christiansen 1942,
    /// Irrigation by Sprinkling, California Agricultural Experiment Station Bulletin 670).
    pub christiansen: Share,
}

/// Measures how even a set of rates is. Nothing for fewer than two rates or a mean of zero.
#[must_use]
pub fn uniformity(rates: &[Rate]) -> Option<Uniformity> {
    let n = rates.len() as f64;
    let sum: f64 = rates.iter().map(|rate| rate.si()).sum();
    if rates.len() < 2 || sum <= 0.0 {
        return None;
    }
    let mean = sum / n;
    let squares: f64 = rates.iter().map(|rate| (rate.si() - mean).powi(2)).sum();
    let distances: f64 = rates.iter().map(|rate| (rate.si() - mean).abs()).sum();
    Some(Uniformity {
        mean: Rate::from_si(mean),
        cv: Share::from_si((squares / (n - 1.0)).sqrt() / mean),
        christiansen: Share::from_si(1.0 - distances / sum),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: mean 2, s = 1, CV 50 %; distances 1 + 0 + 1 of 6, uniformity 66.7 %.
    #[test]
    fn three_rates() {
        let found = uniformity(&[1.0, 2.0, 3.0].map(Rate::from_si)).unwrap();
        assert_eq!(found.mean, Rate::from_si(2.0));
        assert!((found.cv.as_percent() - 50.0).abs() < 1e-12);
        assert!((found.christiansen.as_percent() - 200.0 / 3.0).abs() < 1e-12);
        assert_eq!(uniformity(&[Rate::ZERO; 3]), None);
        assert_eq!(uniformity(&[Rate::from_si(1.0)]), None);
    }
}
