use crate::surface::{Variogram, VariogramShape};
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
}
