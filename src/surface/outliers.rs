//! Samples that do not fit their neighbors.

use super::{Point, Surface};

/// A modified z-score beyond this is an outlier's (Iglewicz and Hoaglin 1993).
const LIMIT: f64 = 3.5;

/// The 0.75 quantile of the standard normal distribution: the median absolute deviation of normal
/// values is so many standard deviations.
const QUARTILE: f64 = 0.6745;

/// One in so many samples may be an outlier. Where more do not fit, it is the surface that does not.
const SHARE: usize = 10;

/// Residuals that differ by less than this share of the largest value do so by rounding.
const ROUNDING: f64 = 1e-9;

/// A sample that does not fit its neighbors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlier {
    /// Its number in the order of the samples, from 0.
    pub number: usize,
    /// What it is, in the samples' unit.
    pub observed: f64,
    /// What its neighbors say, outliers among them left out.
    pub expected: f64,
    /// The modified z-score of observed less expected.
    pub score: f64,
}

/// The samples that do not fit what the others say, by number.
///
/// `predict` is told which samples to leave out, and gives what each sample would be without those
/// and without itself.
///
/// The residuals, observed less predicted, are judged by their modified z-score, 0.6745 (r - median)
/// / MAD, where MAD is the median absolute deviation (F. R. Hampel, "The influence curve and its role
/// in robust estimation", 1974); beyond 3.5 is an outlier (B. Iglewicz and D. C. Hoaglin, *How to
/// Detect and Handle Outliers*, 1993). Where more than half of the residuals are equal the MAD is 0,
/// and the mean absolute deviation times √(π/2) takes the place of MAD / 0.6745: both estimate the
/// standard deviation of normal values. Residuals that are all equal have no outlier; if they are so
/// once an outlier is taken out, it is judged by the spread before.
///
/// A wild value spoils its neighbors' predictions too. So the worst one alone is taken out, all
/// predictions are made again without it, and so on, for at most a tenth of the samples (but one in
/// any case). Those taken out are judged once more at the end: who was only led astray by a worse
/// neighbor is not named. Of equal scores the first goes.
#[must_use]
pub fn outliers(observed: &[f64], predict: impl Fn(&[bool]) -> Vec<f64>) -> Vec<Outlier> {
    let mut wild = vec![false; observed.len()];
    let most = (observed.len() / SHARE).max(1);
    let mut taken = 0;
    let mut judged = None;
    loop {
        let expected = predict(&wild);
        let residuals: Vec<f64> = observed.iter().zip(&expected).map(|(o, e)| o - e).collect();
        let sound = residuals.iter().zip(&wild).filter(|(_, wild)| !**wild);
        let sound: Vec<f64> = sound.map(|(residual, _)| *residual).collect();
        let size = observed.iter().fold(0.0_f64, |size, value| size.max(value.abs()));
        judged = Spread::of(&sound, size * ROUNDING).or(judged);
        let Some(spread) = judged else { return Vec::new() };
        let found = observed.iter().zip(&expected).zip(&residuals).enumerate().map(
            |(number, ((&observed, &expected), &residual))| Outlier {
                number,
                observed,
                expected,
                score: spread.score(residual),
            },
        );
        let found = found.filter(|found| found.score.abs() > LIMIT);
        let (named, new): (Vec<Outlier>, Vec<Outlier>) =
            found.partition(|found| wild.get(found.number).copied().unwrap_or(false));
        let worst = new.iter().rev().max_by(|a, b| a.score.abs().total_cmp(&b.score.abs()));
        match worst.and_then(|worst| wild.get_mut(worst.number)) {
            Some(is_wild) if taken < most => *is_wild = true,
            _ => return named,
        }
        taken += 1;
    }
}

impl Surface {
    /// The samples that do not fit what the surface would be without them: see [`outliers`].
    #[must_use]
    pub fn outliers(&self) -> Vec<Outlier> {
        let observed: Vec<f64> = self.points().iter().map(|point| point.value).collect();
        outliers(&observed, |wild| self.without_all(wild))
    }

    /// What the surface would be at each sample without it and without the wild ones; NaN where no
    /// other is left.
    fn without_all(&self, wild: &[bool]) -> Vec<f64> {
        let numbered = || self.points().iter().copied().enumerate();
        let is_wild = |number: usize| wild.get(number).copied().unwrap_or(false);
        let mut kept: Vec<(usize, Point)> = numbered().filter(|(i, _)| !is_wild(*i)).collect();
        let mut values = vec![f64::NAN; self.points().len()];
        let points = kept.iter().map(|(_, point)| *point).collect();
        let Ok(rest) = Surface::new(points, self.idw) else { return values };
        // The same samples in two orders: sorted they stand side by side.
        let mut predicted: Vec<(Point, f64)> =
            rest.points().iter().copied().zip(rest.leave_one_out()).collect();
        kept.sort_by(|(_, a), (_, b)| a.canonical(b));
        predicted.sort_by(|(a, _), (b, _)| a.canonical(b));
        let wild = numbered().filter(|(i, _)| is_wild(*i));
        let wild = wild.map(|(i, point)| (i, rest.at(point.easting, point.northing)));
        let sound = kept.iter().zip(&predicted).map(|(&(i, _), &(_, value))| (i, value));
        for (number, value) in sound.chain(wild) {
            if let Some(place) = values.get_mut(number) {
                *place = value;
            }
        }
        values
    }
}

/// Where residuals lie and how far they are spread.
#[derive(Clone, Copy)]
struct Spread {
    median: f64,
    deviation: f64,
}

impl Spread {
    /// None where the residuals do not differ by more than rounding, or are no numbers.
    fn of(residuals: &[f64], rounding: f64) -> Option<Self> {
        let middle = median(residuals.to_vec())?;
        let away: Vec<f64> = residuals.iter().map(|residual| (residual - middle).abs()).collect();
        let mean = away.iter().sum::<f64>() / away.len() as f64;
        let mad = median(away)?;
        let deviation =
            if mad > rounding { mad / QUARTILE } else { mean * std::f64::consts::FRAC_PI_2.sqrt() };
        (deviation > rounding).then_some(Self { median: middle, deviation })
    }

    fn score(&self, residual: f64) -> f64 {
        (residual - self.median) / self.deviation
    }
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = *values.get(values.len() / 2)?;
    let lower = *values.get(values.len().saturating_sub(1) / 2)?;
    Some(f64::midpoint(lower, upper))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surface::Idw;

    /// Residuals that no other sample has a part in.
    fn of(residuals: &[f64]) -> Vec<Outlier> {
        outliers(residuals, |_| vec![0.0; residuals.len()])
    }

    /// Mass spectrometer readings of a uranium isotope (NIST/SEMATECH e-Handbook of Statistical
    /// Methods, 1.3.5.17.1, after Tietjen and Moore 1972). By hand: the median is (200.82 +
    /// 201.92) / 2 = 201.37, the deviations from it are 0.55, 0.55, 0.58, 0.81, 1.18, 1.84, 2.06,
    /// 44.20, the MAD is (0.81 + 1.18) / 2 = 0.995, and the score of 245.57 is 0.6745 * 44.20 /
    /// 0.995 = 29.9627; the next is 199.31 with -1.3965. The Handbook's Grubbs test names the same
    /// one. It is left out of the second round, so its score is that of the other seven: median
    /// 200.82, deviations 0, 0.63, 1.10, 1.13, 1.29, 1.36, 1.51, MAD 1.13, 0.6745 * 44.75 / 1.13 =
    /// 26.7114.
    #[test]
    fn modified_z_scores_of_the_nist_handbook() {
        let readings = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
        let spread = Spread::of(&readings, 0.0).unwrap();
        assert!((spread.score(245.57) - 29.9627).abs() < 1e-4);
        assert!((spread.score(199.31) + 1.3965).abs() < 1e-4);
        let found = of(&readings);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].number, found[0].observed, found[0].expected), (7, 245.57, 0.0));
        assert!((found[0].score - 26.7114).abs() < 1e-4, "{}", found[0].score);
    }

    /// More than half are equal: the mean absolute deviation of 1 in 10 values is 0.1, and the score
    /// 1 / (0.1 * 1.2533) = 7.979. Without it all are equal: nothing can be judged.
    #[test]
    fn most_residuals_equal() {
        let mut residuals = [0.0; 10];
        residuals[3] = 1.0;
        assert!((Spread::of(&residuals, 1e-9).unwrap().score(1.0) - 7.979).abs() < 1e-3);
        assert!(Spread::of(&[2.0; 10], 1e-9).is_none());
        let found = of(&residuals);
        assert_eq!((found.len(), found[0].number), (1, 3));
        assert!((found[0].score - 7.979).abs() < 1e-3);
        assert!(of(&[2.0; 10]).is_empty());
        assert!(of(&[]).is_empty() && of(&[5.0]).is_empty());
    }

    /// A gentle slope with 10 m between samples, and a little noise that repeats.
    fn slope(wild: &[(usize, f64)]) -> Surface {
        let mut points: Vec<Point> = (0..100_u32)
            .map(|i| {
                let (east, north) = (f64::from(i % 10), f64::from(i / 10));
                let noise = 0.1 * f64::from(i * 7 % 11) - 0.5;
                let value = 10.0 + 0.3 * east + 0.2 * north + noise;
                Point { easting: 10.0 * east, northing: 10.0 * north, value }
            })
            .collect();
        for &(number, value) in wild {
            points[number].value = value;
        }
        Surface::new(points, Idw::default()).unwrap()
    }

    /// Where the outliers are, as `10 north + east`, and what they are.
    fn named(surface: &Surface) -> Vec<(usize, f64)> {
        let number = |at: &Point| {
            (0..100_u32).position(|i| {
                at.easting == f64::from(i % 10 * 10) && at.northing == f64::from(i / 10 * 10)
            })
        };
        let named =
            |found: Outlier| (number(&surface.points()[found.number]).unwrap(), found.observed);
        let mut all: Vec<(usize, f64)> = surface.outliers().into_iter().map(named).collect();
        all.sort_by_key(|(place, _)| *place);
        all
    }

    #[test]
    fn wild_values_are_named_and_their_neighbours_are_not() {
        assert_eq!(named(&slope(&[])), []);
        assert_eq!(named(&slope(&[(44, 80.0)])), [(44, 80.0)]);
        // Two beside each other hide each other at first, and a corner has few neighbors.
        let wild = [(0, 70.0), (44, 60.0), (45, 90.0)];
        assert_eq!(named(&slope(&wild)), wild);
        let found = slope(&wild).outliers();
        assert!(found.iter().all(|found| (9.0..17.0).contains(&found.expected)), "{found:?}");
        assert!(found.iter().all(|found| found.score > LIMIT), "{found:?}");
    }

    /// At most a tenth of the samples is taken out.
    #[test]
    fn many_wild_values_are_not_outliers() {
        let wild: Vec<(usize, f64)> = (0..100).step_by(5).map(|i| (i, 60.0)).collect();
        assert!(slope(&wild).outliers().len() <= 10);
    }

    #[test]
    fn flat_ground_has_none() {
        let points = (0..20_u32).map(|i| Point {
            easting: f64::from(i),
            northing: f64::from(i % 3),
            value: 12.1,
        });
        assert_eq!(Surface::new(points.collect(), Idw::default()).unwrap().outliers(), []);
    }
}
