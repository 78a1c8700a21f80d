use rayon::prelude::*;

use super::covariance::{Covariance, Predictor};
use super::{Interpolator, Variogram};

/// What an error model rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// A variogram: the error depends on the place and on the samples around it.
    Local,
    /// No variogram, or samples that are all equal: the leave-one-out error everywhere. Nothing is
    /// known of how errors go together, so that they count as going all the same way.
    Constant,
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
/// Assumed is one variogram for the whole field, and an error without a lean to either side.
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
        let Some(Local { covariance, scale }) = &self.local else { return self.seen.sqrt() };
        let weights = self.interpolator.weights(easting, northing);
        (scale * covariance.error_variance(&weights, easting, northing)).sqrt()
    }

    /// The covariances of the errors at places given as (easting, northing): row after row, in the
    /// samples' unit squared.
    #[must_use]
    pub fn covariances(&self, places: &[(f64, f64)]) -> Vec<f64> {
        let Some(Local { covariance, scale }) = &self.local else {
            return vec![self.seen; places.len() * places.len()];
        };
        let predictor = |&(easting, northing): &(f64, f64)| {
            covariance.predictor(self.interpolator.weights(easting, northing), easting, northing)
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
            covariance.error_variance(&weights, place.easting, place.northing)
        };
        let variances: Vec<f64> = (0..points.len()).into_par_iter().map(variance).collect();
        let expected = variances.iter().sum::<f64>() / points.len() as f64;
        (expected > 0.0).then(|| Self { covariance, scale: seen / expected })
    }
}
