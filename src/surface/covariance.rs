use super::{Point, Variogram};

/// The covariances of samples and new samples under a variogram: the sill less the semivariance.
pub(super) struct Covariance {
    points: Vec<Point>,
    variogram: Variogram,
    /// Those among the samples, row after row; empty when there are more than [`Covariance::TABLE`].
    table: Vec<f64>,
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

/// The weighted mean of samples that is predicted at a place.
pub(super) struct Predictor {
    easting: f64,
    northing: f64,
    weights: Vec<(usize, f64)>,
    /// Covariances of the place with all samples.
    of_place: Vec<f64>,
    /// Covariances of the weighted mean with all samples.
    of_mean: Vec<f64>,
}

impl Covariance {
    /// The most samples that have a table, which then takes 8 MB.
    const TABLE: usize = 1000;

    pub fn new(points: &[Point], variogram: Variogram) -> Self {
        let mut covariance = Self { points: points.to_vec(), variogram, table: Vec::new() };
        if points.len() <= Self::TABLE {
            let row = |one| (0..points.len()).map(move |other| (one, other));
            let pairs = (0..points.len()).flat_map(row);
            covariance.table =
                pairs.map(|(one, other)| covariance.among_samples(one, other)).collect();
        }
        covariance
    }

    /// Between two samples by number.
    fn among_samples(&self, one: usize, other: usize) -> f64 {
        if one == other {
            return self.variogram.sill();
        }
        if !self.table.is_empty() {
            return self.table.get(one * self.points.len() + other).copied().unwrap_or(f64::NAN);
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
        self.variogram.partial_sill * self.variogram.likeness(distance)
    }

    /// How a weighted mean of samples varies, alone and with a new sample at a place.
    pub fn moments(&self, weights: &[(usize, f64)], easting: f64, northing: f64) -> Moments {
        let sill = self.variogram.sill();
        let (mut of_mean, mut with_truth) = (0.0, 0.0);
        for (rank, &(one, weight)) in weights.iter().enumerate() {
            let others = weights.iter().skip(rank + 1);
            let later: f64 =
                others.map(|&(other, weight)| weight * self.among_samples(one, other)).sum();
            of_mean += weight * (weight * sill + 2.0 * later);
            with_truth += weight * self.with(one, easting, northing);
        }
        Moments { of_truth: sill, of_mean, with_truth }
    }

    /// What [`Covariance::of_errors`] needs of a place.
    pub fn predictor(&self, weights: Vec<(usize, f64)>, easting: f64, northing: f64) -> Predictor {
        let numbers = 0..self.points.len();
        let of_place = numbers.clone().map(|number| self.with(number, easting, northing)).collect();
        let of_mean = numbers
            .map(|number| {
                let terms = weights.iter().map(|&(other, w)| w * self.among_samples(number, other));
                terms.sum()
            })
            .collect();
        Predictor { easting, northing, weights, of_place, of_mean }
    }

    /// The covariance of the errors at two places by number:
    /// `C(x, y) - w_x'c_y - w_y'c_x + w_x'C w_y`.
    pub fn of_errors(&self, places: &[Predictor], one: usize, other: usize) -> f64 {
        // The same pair in the same order, so that the matrix is symmetric to the last bit.
        let (x, y) = (places.get(one.min(other)), places.get(one.max(other)));
        let (Some(x), Some(y)) = (x, y) else { return f64::NAN };
        let apart = (x.easting - y.easting).hypot(x.northing - y.northing);
        let new_samples = if one == other { self.variogram.sill() } else { self.over(apart) };
        let mut covariance = new_samples;
        for (number, weight) in &x.weights {
            let (mean, place) = (y.of_mean.get(*number), y.of_place.get(*number));
            covariance += weight * (mean.unwrap_or(&f64::NAN) - place.unwrap_or(&f64::NAN));
        }
        for (number, weight) in &y.weights {
            covariance -= weight * x.of_place.get(*number).unwrap_or(&f64::NAN);
        }
        covariance
    }
}
