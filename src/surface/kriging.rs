use nalgebra::{Cholesky, DMatrix, DVector};
use rayon::prelude::*;

use super::one_a_place::one_a_place;
use super::{Interpolator, Lattice, Point, SurfaceError, Variogram};

/// Ordinary kriging: at every place the unbiased weighted mean of all samples that has the least
/// error variance under a variogram.
///
/// After G. Matheron, "Principles of geostatistics", *Economic Geology* 58, 1963, 1246-1266; in
/// covariance form, with one row that makes the weights add up to 1, and all samples as neighbours.
///
/// The surface goes exactly through every sample, as in gstat. With a nugget it jumps there: close
/// by it is smooth and may pass the sample at a distance. It may leave the range of the samples.
/// Samples that share a place count once, with their mean: two of them would be the same equation
/// twice. When all samples are equal or all is nugget, the surface between samples is their mean.
#[derive(Clone, Debug)]
pub struct Kriging {
    points: Vec<Point>,
    variogram: Variogram,
    /// Left upper part of the inverse of the kriging matrix, in units of one over the sill.
    inverse: DMatrix<f64>,
    /// The weights of the samples in their generalised mean.
    in_mean: DVector<f64>,
    /// That mean.
    mean: f64,
    /// What each sample adds for its likeness to a place (the dual form).
    dual: Vec<f64>,
}

impl Kriging {
    /// The most samples: their matrix is inverted in some seconds.
    pub const MOST_SAMPLES: usize = 1000;

    /// A surface through samples, by a variogram.
    ///
    /// # Errors
    /// When there is no sample, or one that is not finite, or more than [`Kriging::MOST_SAMPLES`];
    /// when the variogram makes no sense, or samples stand so close that it cannot part them.
    pub fn new(points: &[Point], variogram: Variogram) -> Result<Self, SurfaceError> {
        if points.is_empty() {
            return Err(SurfaceError::NoSamples);
        }
        if let Some(point) = points.iter().find(|point| !point.is_finite()) {
            return Err(SurfaceError::NotFinite(*point));
        }
        let points = one_a_place(points);
        if points.len() > Self::MOST_SAMPLES {
            return Err(SurfaceError::TooManySamples { found: points.len() });
        }
        let Variogram { nugget, partial_sill, range, .. } = variogram;
        let sound = nugget >= 0.0 && partial_sill >= 0.0 && variogram.sill().is_finite();
        if !(sound && range.is_finite() && range > 0.0) {
            return Err(SurfaceError::Variogram { nugget, partial_sill, range });
        }
        let count = points.len();
        let share = Self::structured(&variogram);
        let matrix = DMatrix::from_fn(count, count, |i, j| match (points.get(i), points.get(j)) {
            _ if i == j => 1.0,
            (Some(one), Some(other)) => share * likeness(&variogram, one, other),
            _ => 0.0,
        });
        let inverse = Cholesky::new(matrix).ok_or(SurfaceError::TooClose)?.inverse();
        let sums = inverse.column_sum();
        let all = sums.sum();
        let inverse = inverse - &sums * sums.transpose() / all;
        let in_mean = sums / all;
        let values = DVector::from_iterator(count, points.iter().map(|point| point.value));
        let mean = in_mean.dot(&values);
        let dual = (&inverse * values).iter().map(|each| each * share).collect();
        Ok(Self { points, variogram, inverse, in_mean, mean, dual })
    }

    /// The variogram.
    #[must_use]
    pub const fn variogram(&self) -> &Variogram {
        &self.variogram
    }

    /// The part of the sill that is not nugget; none when all samples are equal.
    fn structured(variogram: &Variogram) -> f64 {
        let sill = variogram.sill();
        if sill > 0.0 { variogram.partial_sill / sill } else { 0.0 }
    }
}

impl Interpolator for Kriging {
    fn points(&self) -> &[Point] {
        &self.points
    }

    /// One pass over the samples: the dual form needs no weights.
    fn at(&self, easting: f64, northing: f64) -> f64 {
        if !(easting.is_finite() && northing.is_finite()) {
            return f64::NAN;
        }
        let mut sum = 0.0;
        for (point, dual) in self.points.iter().zip(&self.dual) {
            let squared = point.squared_distance(easting, northing);
            if squared == 0.0 {
                return point.value;
            }
            sum += dual * self.variogram.likeness(squared.sqrt());
        }
        self.mean + sum
    }

    fn on_lattice(&self, lattice: &Lattice) -> Vec<f64> {
        let mut values = vec![0.0; lattice.nodes()];
        let rows = values.par_chunks_mut(lattice.columns().max(1)).enumerate();
        rows.for_each(|(row, values)| {
            let northing = lattice.northing(row);
            for (column, value) in values.iter_mut().enumerate() {
                *value = self.at(lattice.easting(column), northing);
            }
        });
        values
    }

    /// In closed form, the variogram kept: O. Dubrule, "Cross validation of kriging in a unique
    /// neighborhood", *Mathematical Geology* 15, 1983, 687-699.
    fn leave_one_out(&self) -> Vec<f64> {
        let values =
            DVector::from_iterator(self.points.len(), self.points.iter().map(|point| point.value));
        let residuals = &self.inverse * &values;
        let diagonal = self.inverse.diagonal();
        let errors = residuals.iter().zip(diagonal.iter()).map(|(one, other)| one / other);
        // A single sample has nothing on the diagonal: 0 / 0.
        values.iter().zip(errors).map(|(value, error)| value - error).collect()
    }

    fn weights(&self, easting: f64, northing: f64) -> Vec<(usize, f64)> {
        if !(easting.is_finite() && northing.is_finite()) {
            return Vec::new();
        }
        let squares = || self.points.iter().map(|point| point.squared_distance(easting, northing));
        if let Some(number) = squares().position(|squared| squared == 0.0) {
            return vec![(number, 1.0)];
        }
        let share = Self::structured(&self.variogram);
        let likeness = squares().map(|squared| share * self.variogram.likeness(squared.sqrt()));
        let mut weights = self.in_mean.clone();
        let likeness = DVector::from_iterator(self.points.len(), likeness);
        weights.gemv(1.0, &self.inverse, &likeness, 1.0);
        weights.iter().copied().enumerate().collect()
    }

    fn weights_without(&self, number: usize) -> Vec<(usize, f64)> {
        if number >= self.points.len() {
            return Vec::new();
        }
        let column = self.inverse.column(number);
        let others = column.iter().copied().enumerate().filter(|(other, _)| *other != number);
        let own = self.inverse.diagonal().get(number).copied().unwrap_or(f64::NAN);
        others.map(|(other, each)| (other, -each / own)).collect()
    }
}

fn likeness(variogram: &Variogram, one: &Point, other: &Point) -> f64 {
    variogram.likeness(one.squared_distance(other.easting, other.northing).sqrt())
}
