use nalgebra::{Cholesky, DMatrix, DVector};
use rayon::prelude::*;

use super::one_per_place::one_per_place;
use super::{Interpolator, Lattice, Point, SurfaceError, Variogram};

/// Ordinary kriging: at every place the unbiased weighted mean of all samples that has the least
/// error variance under a variogram.
///
/// After G. Matheron, "Principles of geostatistics", *Economic Geology* 58, 1963, 1246-1266; in
/// covariance form, with one row that makes the weights add up to 1, and all samples as neighbors.
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
        let points = one_per_place(points);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::surface::VariogramShape;

    const VARIOGRAM: Variogram = Variogram {
        shape: VariogramShape::Exponential,
        nugget: 1.0,
        partial_sill: 5.0,
        range: 90.0,
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

    fn kriging(points: &[Point]) -> Kriging {
        Kriging::new(points, VARIOGRAM).unwrap()
    }

    /// Dubrule's closed form is what is left when a sample is left out.
    #[test]
    fn leave_one_out_is_literally_that() {
        let whole = kriging(&points());
        for (number, predicted) in whole.leave_one_out().into_iter().enumerate() {
            let mut others = whole.points().to_vec();
            let left_out = others.remove(number);
            let without = kriging(&others).at(left_out.easting, left_out.northing);
            assert!((predicted / without - 1.0).abs() < 1e-12);
            let weights = whole.weights_without(number);
            let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
            let value: f64 =
                weights.iter().map(|(n, weight)| weight * whole.points()[*n].value).sum();
            assert!((sum - 1.0).abs() < 1e-12 && (value / without - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn weights_and_the_dual_form_agree() {
        let whole = kriging(&points());
        for (easting, northing) in [(17.0, 23.0), (-50.0, 400.0), (1e9, 0.0)] {
            let weights = whole.weights(easting, northing);
            let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
            let value: f64 =
                weights.iter().map(|(n, weight)| weight * whole.points()[*n].value).sum();
            assert!((sum - 1.0).abs() < 1e-12);
            assert!((value / whole.at(easting, northing) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn it_goes_through_the_samples_whatever_their_order() {
        let mut turned = points();
        turned.reverse();
        let (one, other) = (kriging(&points()), kriging(&turned));
        for point in points() {
            assert_eq!(one.at(point.easting, point.northing), point.value);
        }
        let lattice = Lattice::new(3.5, -20.0, 11.0, 23, 19).unwrap();
        let nodes = one.on_lattice(&lattice);
        assert_eq!(nodes, other.on_lattice(&lattice));
        assert_eq!(nodes[23 * 4 + 2], one.at(lattice.easting(2), lattice.northing(4)));
    }

    #[test]
    fn samples_at_one_place_count_as_their_mean() {
        let mut twice = points();
        twice.push(Point { value: 30.0, ..twice[0] });
        let made = kriging(&twice);
        assert_eq!(made.points().len(), 40);
        assert_eq!(made.at(twice[0].easting, twice[0].northing), 0.5 * (twice[0].value + 30.0));
    }

    #[test]
    fn without_a_pattern_it_is_the_mean() {
        let nugget = Variogram { nugget: 6.0, partial_sill: 0.0, ..VARIOGRAM };
        let mean = points().iter().map(|point| point.value).sum::<f64>() / 40.0;
        let made = Kriging::new(&points(), nugget).unwrap();
        assert!((made.at(31.0, 47.0) / mean - 1.0).abs() < 1e-14);

        let flat: Vec<Point> = points().iter().map(|p| Point { value: 12.0, ..*p }).collect();
        let variogram = Variogram::fit(&flat).unwrap().nearest.variogram;
        assert_eq!(variogram.sill(), 0.0);
        let made = Kriging::new(&flat, variogram).unwrap();
        assert!((made.at(31.0, 47.0) - 12.0).abs() < 1e-12);
        assert!(made.leave_one_out().iter().all(|value| (value - 12.0).abs() < 1e-12));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let said = |points: &[Point], variogram| {
            Kriging::new(points, variogram).map(|_| ()).unwrap_err().to_string()
        };
        assert_eq!(said(&[], VARIOGRAM), "no samples to interpolate");
        let many: Vec<Point> = (0..1001)
            .map(|number| Point { easting: f64::from(number), ..Point::default() })
            .collect();
        assert_eq!(
            said(&many, VARIOGRAM),
            "kriging through 1001 samples: expected at most 1000; use inverse distance"
        );
        assert_eq!(
            said(&points(), Variogram { range: 0.0, ..VARIOGRAM }),
            "variogram with nugget 1, partial sill 5 and range 0 m: expected 0 or more, 0 or more and above 0"
        );
        let smooth = Variogram { nugget: 0.0, range: 1e9, ..VARIOGRAM };
        let close = [0.0, 1e-9].map(|easting| Point { easting, ..Point::default() });
        assert_eq!(
            said(&close, smooth),
            "kriging through samples nearly at one place: expected them farther apart or with one position; use inverse distance"
        );
        assert_eq!(
            Variogram::fit(&points()[..7]).unwrap_err().to_string(),
            "samples at 7 places, their pairs in 4 classes of distance: expected at least 8 places and 3 classes for a variogram; use inverse distance"
        );
        let single = kriging(&points()[..1]);
        assert_eq!(single.at(500.0, 500.0), 8.0);
        assert!(single.leave_one_out()[0].is_nan() && single.cross_validation().is_none());
    }
}
