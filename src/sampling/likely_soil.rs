use std::sync::Arc;

use nalgebra::{Cholesky, DMatrix, DVector};
use rayon::prelude::*;

use crate::surface::{
    ErrorModel, Fitted, Interpolator, Kriging, Point, SurfaceError, Variogram, VariogramShape,
};
use crate::units::Length;

/// At most so many samples tell the likely soils: more would take long and change little.
const MOST: usize = 250;
/// Nugget as a part of the sill that is tried; all of it is a soil without a pattern.
const SHARES: [f64; 8] = [0.0, 0.1, 0.2, 0.35, 0.5, 0.7, 0.9, 1.0];
/// Ranges that are tried: from a part of the distance between neighbors, of which samples can say
/// nothing, to that of the farthest samples.
const RANGES: u32 = 10;
const SHORTEST: f64 = 0.25;
/// So many soils stand for all that were tried.
const SOILS: u32 = 16;

/// A soil that a field may have, before or after its samples are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LikelySoil {
    /// How its CEC varies, (meq/100 g)² and meters.
    pub variogram: Variogram,
    /// Its mean CEC, meq/100 g.
    pub mean: f64,
    /// How likely it is among the others.
    pub weight: f64,
}

impl LikelySoil {
    /// The standard deviation of single samples, meq/100 g, where nothing else is said: common
    /// practice, no source.
    pub const SD: f64 = 4.0;
    /// Means that are thought likely where none is said: common practice, no source.
    pub const MEANS: [f64; 3] = [9.0, 12.5, 16.0];
    /// Distances at which samples have nothing in common any more (a twentieth of the likeness is
    /// left): common practice, no source.
    pub const REACHES: [Length; 3] =
        [Length::feet(500.0), Length::feet(1000.0), Length::feet(2000.0)];
    /// Parts of the variance that samples side by side have already: common practice, no source.
    pub const NUGGETS: [f64; 2] = [0.2, 0.4];

    /// The soils that are thought likely of a field of which nothing is known but, perhaps, its mean.
    #[must_use]
    pub fn unknown(mean: Option<f64>) -> Vec<Self> {
        let sill = Self::SD * Self::SD;
        let variogram = |reach: Length, share: f64| Variogram {
            shape: VariogramShape::Exponential,
            nugget: share * sill,
            partial_sill: (1.0 - share) * sill,
            range: reach.as_metres() / 3.0,
        };
        let of = |reach| Self::NUGGETS.map(|share| variogram(reach, share));
        let variograms: Vec<Variogram> = Self::REACHES.into_iter().flat_map(of).collect();
        Self::of_variograms(&variograms, mean)
    }

    /// The soils that variograms from elsewhere make likely, with a mean or with the usual ones.
    #[must_use]
    pub fn of_variograms(variograms: &[Variogram], mean: Option<f64>) -> Vec<Self> {
        let means = mean.map_or(Self::MEANS.to_vec(), |mean| vec![mean]);
        let with = |mean: &f64| {
            let soil =
                |variogram: &Variogram| Self { variogram: *variogram, mean: *mean, weight: 1.0 };
            variograms.iter().map(soil).collect::<Vec<_>>()
        };
        means.iter().flat_map(with).collect()
    }

    /// The soils that a field's own samples make likely.
    ///
    /// Nugget, range and shape are tried on a grid. Each trial has the likelihood of the samples with
    /// mean and sill averaged out (M. S. Handcock, M. L. Stein, "A Bayesian analysis of kriging",
    /// *Technometrics* 35, 1993, 403-410), every trial thought as likely as the others beforehand. At
    /// even steps of their likelihood together some are taken to stand for all. The
    /// sill is its mean given the samples, and the mean is taken at three places that have its
    /// variance.
    ///
    /// # Errors
    /// When the samples are too few for a variogram.
    pub fn of_samples(samples: &[Point]) -> Result<Vec<Self>, SurfaceError> {
        // One for each place, in the order of kriging.
        let fitted = Variogram::fit(samples)?;
        let places = Kriging::new(samples, fitted.nearest.variogram)?.points().to_vec();
        let every = places.len().div_ceil(MOST);
        let places: Vec<Point> = places.into_iter().step_by(every).collect();
        let (near, far) = ends(&places);
        let trials: Vec<Variogram> = [VariogramShape::Spherical, VariogramShape::Exponential]
            .into_iter()
            .flat_map(|shape| SHARES.into_iter().map(move |share| (shape, share)))
            .flat_map(|(shape, nugget)| {
                (0..RANGES).map(move |step| {
                    let part = f64::from(step) / f64::from(RANGES - 1);
                    let reach = SHORTEST * near * libm::pow(far / (SHORTEST * near), part);
                    let range = match shape {
                        VariogramShape::Spherical => reach,
                        VariogramShape::Exponential => reach / 3.0,
                    };
                    Variogram { shape, nugget, partial_sill: 1.0 - nugget, range }
                })
            })
            .collect();
        let mut found: Vec<Trial> =
            trials.par_iter().filter_map(|trial| Trial::new(trial, &places)).collect();
        let most = found.iter().map(|trial| trial.likelihood).fold(f64::NEG_INFINITY, f64::max);
        for trial in &mut found {
            trial.likelihood = libm::exp(trial.likelihood - most);
        }
        let all: f64 = found.iter().map(|trial| trial.likelihood).sum();
        // At even steps of what they are likely together, in the order of the grid.
        let mut sum = 0.0;
        let ends: Vec<f64> =
            (0..SOILS).map(|soil| (f64::from(soil) + 0.5) / f64::from(SOILS) * all).collect();
        let mut kept: Vec<Trial> = Vec::new();
        for trial in found {
            let from = sum;
            sum += trial.likelihood;
            let stands = ends.iter().filter(|end| (from..sum).contains(*end)).count();
            if stands > 0 {
                kept.push(Trial { likelihood: stands as f64, ..trial });
            }
        }
        Ok(kept.into_iter().flat_map(Trial::soils).collect())
    }
}

/// The distances of nearest neighbors, in the middle, and of the farthest samples, meters.
fn ends(places: &[Point]) -> (f64, f64) {
    let apart =
        |one: &Point, other: &Point| one.squared_distance(other.easting, other.northing).sqrt();
    let others = |one: usize| {
        let here = places.get(one).copied().unwrap_or_default();
        places
            .iter()
            .enumerate()
            .filter(move |(other, _)| *other != one)
            .map(move |(_, at)| apart(&here, at))
    };
    let mut nearest: Vec<f64> =
        (0..places.len()).map(|one| others(one).fold(f64::INFINITY, f64::min)).collect();
    nearest.sort_by(f64::total_cmp);
    let near = nearest.get(nearest.len() / 2).copied().unwrap_or(1.0);
    let far = (0..places.len()).map(|one| others(one).fold(0.0, f64::max)).fold(0.0, f64::max);
    (near, far.max(2.0 * near))
}

/// A variogram with what the samples say of it.
struct Trial {
    variogram: Variogram,
    /// As a natural logarithm, then as it is.
    likelihood: f64,
    mean: f64,
    /// The standard deviation of the mean.
    sd: f64,
}

impl Trial {
    /// Of a variogram with a sill of one; none where it cannot part the samples.
    fn new(form: &Variogram, places: &[Point]) -> Option<Self> {
        let count = places.len();
        let among = |i: usize, j: usize| match (places.get(i), places.get(j)) {
            _ if i == j => 1.0,
            (Some(one), Some(other)) => {
                form.covariance(one.squared_distance(other.easting, other.northing).sqrt())
            }
            _ => 0.0,
        };
        let cholesky = Cholesky::new(DMatrix::from_fn(count, count, among))?;
        let half_log: f64 = cholesky.l_dirty().diagonal().iter().map(|each| libm::log(*each)).sum();
        let values = DVector::from_iterator(count, places.iter().map(|place| place.value));
        let ones = DVector::from_element(count, 1.0);
        let solved = cholesky.solve(&ones);
        let all = solved.sum();
        let mean = solved.dot(&values) / all;
        let off = values.add_scalar(-mean);
        let squares = off.dot(&cholesky.solve(&off));
        let free = count as f64 - 1.0;
        if squares <= 0.0 || free <= 2.0 {
            return None;
        }
        let likelihood = -half_log - 0.5 * libm::log(all) - 0.5 * free * libm::log(squares);
        let sill = squares / (free - 2.0);
        let (nugget, partial_sill) = (sill * form.nugget, sill * form.partial_sill);
        let variogram = Variogram { nugget, partial_sill, ..*form };
        Some(Self { variogram, likelihood, mean, sd: (sill / all).sqrt() })
    }

    /// Its mean at three places, as Gauss and Hermite have them.
    fn soils(self) -> [LikelySoil; 3] {
        let Self { variogram, likelihood, mean, sd } = self;
        let far = 3.0_f64.sqrt() * sd;
        [(mean - far, 1.0), (mean, 4.0), (mean + far, 1.0)].map(|(mean, part)| LikelySoil {
            variogram,
            mean,
            weight: likelihood * part / 6.0,
        })
    }
}

/// The variogram by which a field's next samples are chosen: the cautious one of its samples, with
/// the factor on variances that cross-validation finds.
///
/// # Errors
/// When the samples are too few or cannot be kriged by.
pub fn own_variogram(samples: &[Point]) -> Result<Variogram, SurfaceError> {
    scaled_variogram(samples, &Variogram::fit(samples)?)
}

/// The same of samples whose variogram was fitted already.
///
/// # Errors
/// When the samples cannot be kriged by.
pub fn scaled_variogram(samples: &[Point], fitted: &Fitted) -> Result<Variogram, SurfaceError> {
    let cautious = fitted.cautious.variogram;
    let kriging = Kriging::new(samples, fitted.nearest.variogram)?;
    let errors = ErrorModel::new(Arc::new(kriging), Some(&cautious));
    let scale = errors.and_then(|errors| errors.scale()).unwrap_or(1.0);
    let (nugget, partial_sill) = (scale * cautious.nugget, scale * cautious.partial_sill);
    Ok(Variogram { nugget, partial_sill, ..cautious })
}
