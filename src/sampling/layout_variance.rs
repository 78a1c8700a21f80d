use geo::Coord;
use nalgebra::{Cholesky, DMatrix, DVector};

use super::gauss_legendre::BLOCK;
use super::ground::squared;
use crate::surface::{SurfaceError, Variogram};

/// How well ordinary kriging from a layout will do, before any value is known: its variances follow
/// from the places and a variogram alone.
///
/// In covariance form, with every sample of the layout (G. Matheron, "Principles of geostatistics",
/// *Economic Geology* 58, 1963, 1246-1266). Values are in the variogram's unit squared.
#[derive(Clone, Debug)]
pub struct LayoutVariance {
    places: Vec<Coord<f64>>,
    variogram: Variogram,
    inverse: DMatrix<f64>,
    /// The inverse's rows summed up, and all of it.
    sums: DVector<f64>,
    all: f64,
}

/// What is to be told of a place: how the truth and its kriged value vary, alone and together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// The variance of the truth.
    pub truth: f64,
    /// The variance of the kriged value.
    pub kriged: f64,
    /// Their covariance.
    pub together: f64,
}

impl Joint {
    /// The kriging variance: that of the kriged value less the truth.
    #[must_use]
    pub fn error_variance(&self) -> f64 {
        // Below 0 only by rounding.
        (self.truth - 2.0 * self.together + self.kriged).max(0.0)
    }
}

impl LayoutVariance {
    /// Of samples at places in meters.
    ///
    /// # Errors
    /// When there is no place, the variogram makes no sense, or places are so close that it cannot
    /// part them.
    pub fn new(places: Vec<Coord<f64>>, variogram: Variogram) -> Result<Self, SurfaceError> {
        let Variogram { nugget, partial_sill, range, .. } = variogram;
        let sound = nugget >= 0.0 && partial_sill >= 0.0 && variogram.sill().is_finite();
        if !(sound && variogram.sill() > 0.0 && range.is_finite() && range > 0.0) {
            return Err(SurfaceError::Variogram { nugget, partial_sill, range });
        }
        if places.is_empty() {
            return Err(SurfaceError::NoSamples);
        }
        let among = |i: usize, j: usize| match (places.get(i), places.get(j)) {
            _ if i == j => variogram.sill(),
            (Some(one), Some(other)) => variogram.covariance(squared(*one - *other).sqrt()),
            _ => 0.0,
        };
        let matrix = DMatrix::from_fn(places.len(), places.len(), among);
        let inverse = Cholesky::new(matrix).ok_or(SurfaceError::TooClose)?.inverse();
        let sums = inverse.column_sum();
        let all = sums.sum();
        Ok(Self { places, variogram, inverse, sums, all })
    }

    /// Of a new sample at a place: it has the nugget too, also where a sample was taken.
    #[must_use]
    pub fn at(&self, place: Coord<f64>) -> Joint {
        let with = |at: &Coord<f64>| self.variogram.covariance(squared(*at - place).sqrt());
        self.joint(self.variogram.sill(), with)
    }

    /// Of the mean of a square block around a place, its sides so many meters: without the nugget,
    /// which is none of a mean. The block is taken at 16 places, by Gauss and Legendre, as gstat
    /// does.
    #[must_use]
    pub fn of_block(&self, middle: Coord<f64>, side: f64) -> Joint {
        let places: Vec<(Coord<f64>, f64)> = block(middle, side).collect();
        let over = |at: Coord<f64>| -> f64 {
            let part = |(place, weight): &(Coord<f64>, f64)| {
                weight * self.variogram.covariance(squared(*place - at).sqrt())
            };
            places.iter().map(part).sum()
        };
        let truth = places.iter().map(|(place, weight)| weight * over(*place)).sum();
        self.joint(truth, |at| over(*at))
    }

    fn joint(&self, truth: f64, with: impl Fn(&Coord<f64>) -> f64) -> Joint {
        let with = DVector::from_iterator(self.places.len(), self.places.iter().map(with));
        let solved = &self.inverse * &with;
        let sum = solved.sum();
        // What the weights add up to one by.
        let lacking = (1.0 - sum) / self.all;
        let together = with.dot(&solved) + lacking * with.dot(&self.sums);
        Joint { truth, kriged: together + lacking, together }
    }

    /// The covariance of what is not known yet of two places, without the nugget: that of the errors
    /// of their kriged values.
    pub(super) fn unknown(&self, one: &Seen, other: &Seen) -> f64 {
        let apart = squared(one.place - other.place).sqrt();
        self.variogram.covariance(apart) - one.with.dot(&other.solved)
            + one.lacking * other.lacking / self.all
    }

    /// A place as the samples see it, for [`LayoutVariance::unknown`].
    pub(super) fn seen(&self, place: Coord<f64>) -> Seen {
        let with = |at: &Coord<f64>| self.variogram.covariance(squared(*at - place).sqrt());
        let with = DVector::from_iterator(self.places.len(), self.places.iter().map(with));
        let solved = &self.inverse * &with;
        let lacking = 1.0 - solved.sum();
        Seen { place, with, solved, lacking }
    }
}

/// A place as the samples see it.
pub(super) struct Seen {
    place: Coord<f64>,
    with: DVector<f64>,
    solved: DVector<f64>,
    lacking: f64,
}

fn block(middle: Coord<f64>, side: f64) -> impl Iterator<Item = (Coord<f64>, f64)> {
    let half = 0.5 * side;
    BLOCK.into_iter().flat_map(move |(x, one)| {
        BLOCK.into_iter().map(move |(y, other)| {
            (middle + Coord { x: half * x, y: half * y }, 0.25 * one * other)
        })
    })
}
