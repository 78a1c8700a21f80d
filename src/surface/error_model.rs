use rayon::prelude::*;

use super::covariance::{Covariance, Predictor};
use super::{Interpolator, Point, Variogram};

/// What an error model rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
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
pub struct ErrorModel<'a> {
    interpolator: &'a dyn Interpolator,
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

impl<'a> ErrorModel<'a> {
    /// The errors of a surface, by the variogram of its samples; constant where there is none, or
    /// fewer than [`Variogram::FEWEST_PLACES`] samples. None at all for fewer than two samples.
    #[must_use]
    pub fn new(interpolator: &'a dyn Interpolator, variogram: Option<&Variogram>) -> Option<Self> {
        let seen = interpolator.cross_validation()?.rmse.powi(2);
        let enough = interpolator.points().len() >= Variogram::FEWEST_PLACES && seen > 0.0;
        let variogram = variogram.filter(|variogram| enough && variogram.sill() > 0.0);
        let local = variogram.and_then(|variogram| Local::new(interpolator, variogram, seen));
        Some(Self { interpolator, seen, local })
    }

    /// What it rests on.
    #[must_use]
    pub const fn basis(&self) -> Basis {
        if self.local.is_some() { Basis::Local } else { Basis::Constant }
    }

    /// The factor by which cross-validation corrects the variances that the variogram gives; 1 for
    /// a variogram that is quite right, none without one.
    #[must_use]
    pub fn scale(&self) -> Option<f64> {
        self.local.as_ref().map(|local| local.scale)
    }

    /// The standard deviation of the error at a place in metres, in the samples' unit.
    #[must_use]
    pub fn sd_at(&self, easting: f64, northing: f64) -> f64 {
        let Some(local) = &self.local else { return self.seen.sqrt() };
        let weights = self.interpolator.weights(easting, northing);
        let moments = local.covariance.moments(&weights, easting, northing);
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
        let Some(Local { covariance, scale, mean }) = &self.local else {
            return Truth { mean: value, sd: self.seen.sqrt() };
        };
        let weights = self.interpolator.weights(easting, northing);
        let moments = covariance.moments(&weights, easting, northing);
        Truth {
            mean: mean + moments.slope() * (value - mean),
            sd: (scale * moments.variance_about_slope()).sqrt(),
        }
    }

    /// The covariances of what new samples at places, given as (easting, northing), show beside the
    /// means that [`ErrorModel::truth_at`] gives: row after row, in the samples' unit squared.
    ///
    /// `cov(x, y) = C(x, y) - w_x'c_y - w_y'c_x + w_x'C w_y`, the weights times their slopes.
    #[must_use]
    pub fn covariances(&self, places: &[(f64, f64)]) -> Vec<f64> {
        let Some(Local { covariance, scale, .. }) = &self.local else {
            return vec![self.seen; places.len() * places.len()];
        };
        let predictor = |&(easting, northing): &(f64, f64)| {
            let mut weights = self.interpolator.weights(easting, northing);
            let slope = covariance.moments(&weights, easting, northing).slope();
            for (_, weight) in &mut weights {
                *weight *= slope;
            }
            covariance.predictor(weights, easting, northing)
        };
        let predictors: Vec<Predictor> = places.par_iter().map(predictor).collect();
        let row = |number: usize| -> Vec<f64> {
            let between = |other| scale * covariance.of_errors(&predictors, number, other);
            (0..places.len()).map(between).collect()
        };
        (0..places.len()).into_par_iter().map(row).collect::<Vec<_>>().concat()
    }
}

impl Local {
    /// None when the variogram gives the residuals no variance at all.
    fn new(interpolator: &dyn Interpolator, variogram: &Variogram, seen: f64) -> Option<Self> {
        let points = interpolator.points();
        let covariance = Covariance::new(points, *variogram);
        let variance = |number: usize| {
            let weights = interpolator.weights_without(number);
            let place = points.get(number).copied().unwrap_or_default();
            covariance.moments(&weights, place.easting, place.northing).error_variance()
        };
        let variances: Vec<f64> = (0..points.len()).into_par_iter().map(variance).collect();
        let count = points.len() as f64;
        let expected = variances.iter().sum::<f64>() / count;
        let mean = points.iter().map(|point: &Point| point.value).sum::<f64>() / count;
        (expected > 0.0).then(|| Self { covariance, scale: seen / expected, mean })
    }
}
