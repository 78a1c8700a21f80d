use nalgebra::{DMatrix, DVector};

use super::{Point, Variogram};

/// The covariances of samples and new samples under a variogram: the sill less the semivariance.
pub(super) struct Covariance {
    points: Vec<Point>,
    variogram: Variogram,
    /// Those among the samples; none when there are more than [`Covariance::TABLE`].
    table: Option<DMatrix<f64>>,
}

/// A weighted mean of samples and a new sample at its place.
pub(super) struct Moments {
    /// The variance of the new sample.
    of_truth: f64,
    /// The variance of the weighted mean.
    of_mean: f64,
    /// The covariance of both.
    with_truth: f64,
}

impl Moments {
    /// The variance of the weighted mean less the new sample.
    pub fn error_variance(&self) -> f64 {
        // Below 0 only by rounding.
        (self.of_truth - 2.0 * self.with_truth + self.of_mean).max(0.0)
    }

    /// How far the new sample is expected to follow when the weighted mean is off the mean of all.
    pub fn slope(&self) -> f64 {
        if self.of_mean > 0.0 { self.with_truth / self.of_mean } else { 1.0 }
    }

    /// The variance of the new sample about what is expected by the slope.
    pub fn variance_about_slope(&self) -> f64 {
        (self.of_truth - self.slope() * self.with_truth).max(0.0)
    }
}

/// A place in meters and the weights of the samples that predict it.
pub(super) struct Predictor {
    pub easting: f64,
    pub northing: f64,
    pub weights: Vec<(usize, f64)>,
}

impl Covariance {
    /// The most samples that have a table, which then takes 8 MB.
    const TABLE: usize = 1000;

    pub fn new(points: &[Point], variogram: Variogram) -> Self {
        let count = points.len();
        let mut covariance = Self { points: points.to_vec(), variogram, table: None };
        if count <= Self::TABLE {
            let among = |one, other| covariance.among_samples(one, other);
            covariance.table = Some(DMatrix::from_fn(count, count, among));
        }
        covariance
    }

    /// Between two samples by number.
    fn among_samples(&self, one: usize, other: usize) -> f64 {
        if let Some(table) = &self.table {
            return table.get((one, other)).copied().unwrap_or(f64::NAN);
        }
        if one == other {
            return self.variogram.sill();
        }
        self.points.get(other).map_or(f64::NAN, |at| self.with(one, at.easting, at.northing))
    }

    /// Between a sample by number and a new one at a place.
    fn with(&self, number: usize, easting: f64, northing: f64) -> f64 {
        let point = self.points.get(number).copied().unwrap_or_default();
        self.over(point.squared_distance(easting, northing).sqrt())
    }

    /// Between two different samples a distance apart.
    fn over(&self, distance: f64) -> f64 {
        self.variogram.covariance(distance)
    }

    /// How a weighted mean of samples varies, alone and with a new sample at its place.
    pub fn moments(&self, predictor: &Predictor) -> Moments {
        let Predictor { easting, northing, weights } = predictor;
        let with_place = |&(number, weight)| weight * self.with(number, *easting, *northing);
        Moments {
            of_truth: self.variogram.sill(),
            of_mean: self.variance_of_mean(weights),
            with_truth: weights.iter().map(with_place).sum(),
        }
    }

    fn variance_of_mean(&self, weights: &[(usize, f64)]) -> f64 {
        if let Some(table) = self.table.as_ref().filter(|table| table.ncols() == weights.len()) {
            // All samples count, in order: whole rows at a time are much faster.
            let all = weights.iter().map(|(_, weight)| *weight);
            let weights = DVector::from_iterator(weights.len(), all);
            return weights.dot(&(table * &weights));
        }
        let term = |(rank, &(one, weight)): (usize, &(usize, f64))| {
            let others = weights.iter().skip(rank + 1);
            let later: f64 =
                others.map(|&(other, weight)| weight * self.among_samples(one, other)).sum();
            weight * (weight * self.variogram.sill() + 2.0 * later)
        };
        weights.iter().enumerate().map(term).sum()
    }
}
