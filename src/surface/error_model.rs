use std::sync::Arc;

use rayon::prelude::*;

use super::covariance::{Covariance, Moments, Predictor};
use super::{Interpolator, Point, Variogram};

/// What an error model rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorBasis {
    /// A variogram: the error depends on the place and on the samples around it.
    Local,
    /// No variogram, or samples that are all equal: the leave-one-out error everywhere. Nothing is
    /// known of how errors go together, so that they count as going all the same way.
    Constant,
}

/// What a new soil sample at a place is expected to show: normal, with this mean and spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Truth {
    /// The mean, in the samples' unit.
    pub mean: f64,
    /// The standard deviation, in the samples' unit.
    pub sd: f64,
}

/// How far a surface is from what a new soil sample at a place would show.
///
/// The error variance of a weighted mean of samples follows from the weights and a variogram,
/// whatever the weights come from, inverse distance as well as kriging (A. G. Journel,
/// C. J. Huijbregts, *Mining Geostatistics*, 1978, on the estimation variance): `2 w'g - w'G w`, with
/// `g` the semivariances between place and samples and `G` those among samples.
///
/// The new sample has the nugget too. A place where a sample was taken is no exception: the next
/// sample from there would differ. (Kriging as such says 0 there.)
///
/// One factor fits the variances to what was seen: the mean square of the leave-one-out residuals
/// over the mean of the variances that the model gives to them.
///
/// Assumed is one variogram for the whole field. [`Fitted::cautious`](super::Fitted) is the one to
/// use: the nearest one makes places between samples seem surer than they are.
pub struct ErrorModel {
    interpolator: Arc<dyn Interpolator>,
    /// The leave-one-out error, squared.
    seen: f64,
    local: Option<Local>,
}

/// What is known with a variogram.
struct Local {
    covariance: Covariance,
    /// The factor on variances.
    scale: f64,
    /// The mean of all samples.
    mean: f64,
}

impl ErrorModel {
    /// The errors of a surface, by the variogram of its samples; constant where there is none, or
    /// fewer than [`Variogram::FEWEST_PLACES`] samples. None at all for fewer than two samples.
    #[must_use]
    pub fn new(interpolator: Arc<dyn Interpolator>, variogram: Option<&Variogram>) -> Option<Self> {
        let seen = interpolator.cross_validation()?.rmse.powi(2);
        let enough = interpolator.points().len() >= Variogram::FEWEST_PLACES && seen > 0.0;
        let variogram = variogram.filter(|variogram| enough && variogram.sill() > 0.0);
        let local = variogram.and_then(|variogram| Local::new(&*interpolator, variogram, seen));
        Some(Self { interpolator, seen, local })
    }

    /// What it rests on.
    #[must_use]
    pub const fn basis(&self) -> ErrorBasis {
        if self.local.is_some() { ErrorBasis::Local } else { ErrorBasis::Constant }
    }

    /// The factor by which cross-validation corrects the variances that the variogram gives; 1 for
    /// a variogram that is quite right, none without one.
    #[must_use]
    pub fn scale(&self) -> Option<f64> {
        self.local.as_ref().map(|local| local.scale)
    }

    /// The standard deviation of the error at a place in meters, in the samples' unit.
    #[must_use]
    pub fn sd_at(&self, easting: f64, northing: f64) -> f64 {
        let Some(local) = &self.local else { return self.seen.sqrt() };
        let moments = self.moments(local, easting, northing);
        (local.scale * moments.error_variance()).sqrt()
    }

    /// What a new sample is expected to show at a place where the surface has a value.
    ///
    /// A surface that follows scattered samples is too high where it is high and too low where it
    /// is low. How far the truth follows it is the slope of the regression of the new sample on the
    /// weighted mean, which weights and variogram give: `w'c / w'C w`, about the mean of all
    /// samples. On samples without any pattern it is 0. The spread is that about the regression.
    #[must_use]
    pub fn truth_at(&self, easting: f64, northing: f64, value: f64) -> Truth {
        let Some(local) = &self.local else {
            return Truth { mean: value, sd: self.seen.sqrt() };
        };
        local.truth(&self.moments(local, easting, northing), local.mean, value)
    }

    /// Each sample, with what it was expected to show without it; none without a variogram.
    #[must_use]
    pub fn left_out(&self) -> Vec<(Point, Truth)> {
        let Some(local) = &self.local else { return Vec::new() };
        let points = self.interpolator.points();
        let count = points.len() as f64;
        let truth = |(number, point): (usize, &Point)| {
            let weights = self.interpolator.weights_without(number);
            let value = |&(other, weight): &(usize, f64)| {
                weight * points.get(other).map_or(f64::NAN, |point| point.value)
            };
            let value: f64 = weights.iter().map(value).sum();
            let mean = (count * local.mean - point.value) / (count - 1.0);
            let Point { easting, northing, .. } = *point;
            let moments = local.covariance.moments(&Predictor { easting, northing, weights });
            (*point, local.truth(&moments, mean, value))
        };
        points.par_iter().enumerate().map(truth).collect()
    }

    fn moments(&self, local: &Local, easting: f64, northing: f64) -> Moments {
        local.covariance.moments(&self.predictor(easting, northing))
    }

    fn predictor(&self, easting: f64, northing: f64) -> Predictor {
        Predictor { easting, northing, weights: self.interpolator.weights(easting, northing) }
    }
}

impl Local {
    /// None when the variogram gives the residuals no variance at all.
    fn new(interpolator: &dyn Interpolator, variogram: &Variogram, seen: f64) -> Option<Self> {
        let points = interpolator.points();
        let covariance = Covariance::new(points, *variogram);
        let variance = |number: usize| {
            let Point { easting, northing, .. } = points.get(number).copied().unwrap_or_default();
            let weights = interpolator.weights_without(number);
            covariance.moments(&Predictor { easting, northing, weights }).error_variance()
        };
        let variances: Vec<f64> = (0..points.len()).into_par_iter().map(variance).collect();
        let count = points.len() as f64;
        let expected = variances.iter().sum::<f64>() / count;
        let mean = points.iter().map(|point: &Point| point.value).sum::<f64>() / count;
        (expected > 0.0).then(|| Self { covariance, scale: seen / expected, mean })
    }

    /// By the regression of a new sample on the value of the surface, about a mean.
    fn truth(&self, moments: &Moments, mean: f64, value: f64) -> Truth {
        Truth {
            mean: mean + moments.slope() * (value - mean),
            sd: (self.scale * moments.variance_about_slope()).sqrt(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surface::{Idw, Kriging, Surface, VariogramShape};

    const VARIOGRAM: Variogram = Variogram {
        shape: VariogramShape::Spherical,
        nugget: 0.8,
        partial_sill: 4.0,
        range: 150.0,
    };

    /// A skew scatter of 40.
    fn points() -> Vec<Point> {
        let point = |number: usize| Point {
            easting: 40.0 * (number % 7) as f64 + 3.0 * ((number * 5) % 11) as f64,
            northing: 30.0 * (number / 7) as f64 + 2.0 * ((number * 3) % 13) as f64,
            value: 8.0 + ((number * 17) % 19) as f64,
        };
        (0..40).map(point).collect()
    }

    /// The formulas as they stand in the documentation, term by term.
    #[test]
    fn variances_are_the_formulas() {
        let distance = Surface::new(points(), Idw::default()).unwrap();
        let kriging = Kriging::new(&points(), VARIOGRAM).unwrap();
        let places = [(21.0, 33.0), (80.0, 41.0), (300.0, -60.0)];
        for surface in [Arc::new(distance) as Arc<dyn Interpolator>, Arc::new(kriging)] {
            let errors = ErrorModel::new(Arc::clone(&surface), Some(&VARIOGRAM)).unwrap();
            let samples = surface.points();
            let apart =
                |one: (f64, f64), other: (f64, f64)| (one.0 - other.0).hypot(one.1 - other.1);
            let at = |number: usize| (samples[number].easting, samples[number].northing);
            let among = |i: usize, j: usize| {
                if i == j { 0.0 } else { VARIOGRAM.semivariance(apart(at(i), at(j))) }
            };
            let scale = errors.scale().unwrap();
            for x in places {
                let weights = surface.weights(x.0, x.1);
                let mut variance = 0.0;
                for (i, w) in &weights {
                    variance += 2.0 * w * VARIOGRAM.semivariance(apart(at(*i), x));
                    variance -= weights.iter().map(|(j, v)| w * v * among(*i, *j)).sum::<f64>();
                }
                assert!((errors.sd_at(x.0, x.1).powi(2) / (scale * variance) - 1.0).abs() < 1e-12);
            }
        }
    }

    /// What a sample is expected to show without it is what a surface of the others expects there,
    /// but for their own scale and, for kriging, the inverse of their own matrix.
    #[test]
    fn left_out_is_the_surface_of_the_others() {
        let surface = Surface::new(points(), Idw::default()).unwrap();
        let errors = ErrorModel::new(Arc::new(surface), Some(&VARIOGRAM)).unwrap();
        for (left_out, truth) in errors.left_out() {
            let others = points().into_iter().filter(|point| *point != left_out).collect();
            let others = Surface::new(others, Idw::default()).unwrap();
            let Point { easting, northing, .. } = left_out;
            let value = others.at(easting, northing);
            let without = ErrorModel::new(Arc::new(others), Some(&VARIOGRAM)).unwrap();
            let expected = without.truth_at(easting, northing, value);
            assert!((truth.mean / expected.mean - 1.0).abs() < 1e-12);
            let unscaled =
                |truth: Truth, errors: &ErrorModel| truth.sd / errors.scale().unwrap().sqrt();
            let same = unscaled(truth, &errors) / unscaled(expected, &without);
            assert!((same - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn few_or_equal_samples_have_one_error_everywhere() {
        let few = Surface::new(points()[..7].to_vec(), Idw::default()).unwrap();
        let rmse = few.cross_validation().unwrap().rmse;
        let errors = ErrorModel::new(Arc::new(few), Some(&VARIOGRAM)).unwrap();
        assert_eq!(errors.basis(), ErrorBasis::Constant);
        assert_eq!(
            errors.truth_at(9.0, 9.0, 11.0),
            Truth { mean: 11.0, sd: errors.sd_at(0.0, 0.0) }
        );
        assert!((errors.sd_at(9.0, 9.0) / rmse - 1.0).abs() < 1e-15);

        let flat = points().iter().map(|point| Point { value: 12.0, ..*point }).collect();
        let flat = Surface::new(flat, Idw::default()).unwrap();
        let errors = ErrorModel::new(Arc::new(flat), Some(&VARIOGRAM)).unwrap();
        assert_eq!((errors.basis(), errors.sd_at(9.0, 9.0)), (ErrorBasis::Constant, 0.0));

        let single = Surface::new(points()[..1].to_vec(), Idw::default()).unwrap();
        assert!(ErrorModel::new(Arc::new(single), Some(&VARIOGRAM)).is_none());
    }
}
