use std::sync::Arc;

use crate::surface::{ErrorModel, Kriging, Point, SurfaceError, Variogram, VariogramShape};
use crate::units::Length;

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
        let means = mean.map_or(Self::MEANS.to_vec(), |mean| vec![mean]);
        let sill = Self::SD * Self::SD;
        let mut soils = Vec::new();
        for mean in means {
            for reach in Self::REACHES {
                for share in Self::NUGGETS {
                    let variogram = Variogram {
                        shape: VariogramShape::Exponential,
                        nugget: share * sill,
                        partial_sill: (1.0 - share) * sill,
                        range: reach.as_metres() / 3.0,
                    };
                    soils.push(Self { variogram, mean, weight: 1.0 });
                }
            }
        }
        soils
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
    /// # Errors
    /// When they are too few for a variogram.
    pub fn of_samples(samples: &[Point]) -> Result<Vec<Self>, SurfaceError> {
        let mean = samples.iter().map(|point| point.value).sum::<f64>() / samples.len() as f64;
        let likely = Variogram::likely(samples)?.into_iter();
        let soils = likely.filter(|(variogram, weight)| variogram.sill() > 0.0 && *weight > 1e-3);
        Ok(soils.map(|(variogram, weight)| Self { variogram, mean, weight }).collect())
    }
}

/// The variogram by which a field's next samples are chosen: the cautious one of its samples, with
/// the factor on variances that cross-validation finds.
///
/// # Errors
/// When the samples are too few or cannot be kriged by.
pub fn own_variogram(samples: &[Point]) -> Result<Variogram, SurfaceError> {
    let fitted = Variogram::fit(samples)?;
    let cautious = fitted.cautious.variogram;
    let kriging = Kriging::new(samples, fitted.nearest.variogram)?;
    let errors = ErrorModel::new(Arc::new(kriging), Some(&cautious));
    let scale = errors.and_then(|errors| errors.scale()).unwrap_or(1.0);
    let (nugget, partial_sill) = (scale * cautious.nugget, scale * cautious.partial_sill);
    Ok(Variogram { nugget, partial_sill, ..cautious })
}
