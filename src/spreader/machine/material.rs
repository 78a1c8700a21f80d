use crate::units::{Density, Mass, Quantity, Share, Volume};

/// What is in the hopper.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// What the supplier calls it.
    pub name: String,
    /// Bulk density as loaded.
    pub density: Density,
    /// The bucket test that the density comes from, if it was not given as a number.
    pub bucket_test: Option<BucketTest>,
    /// Water, as a share of the mass as spread, if it is known.
    pub moisture: Option<Share>,
    /// Gypsum, as a share of the dry mass, if it is known.
    pub purity: Option<Share>,
}

impl Material {
    /// Gypsum in the material as spread: purity x (1 - moisture), if both are known.
    #[must_use]
    pub fn gypsum(&self) -> Option<Share> {
        let (purity, moisture) = self.purity.zip(self.moisture)?;
        Some(Share::from_si(purity.si() * (1.0 - moisture.si())))
    }
}

/// A bucket weighed empty and weighed full, struck off level and not packed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BucketTest {
    /// The empty bucket.
    pub empty: Mass,
    /// The full bucket.
    pub full: Mass,
    /// What the bucket holds.
    pub volume: Volume,
}

impl BucketTest {
    /// Bulk density: what the full bucket weighs more, by what it holds.
    #[must_use]
    pub fn density(&self) -> Density {
        Density::from_si((self.full - self.empty).si() / self.volume.si())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a 5 gal bucket holds 5 x 231 / 1728 = 0.66840 ft3; 41.5 lb in it are 62.09 lb/ft3.
    #[test]
    fn bucket() {
        let test = BucketTest {
            empty: Mass::pounds(2.0),
            full: Mass::pounds(43.5),
            volume: Volume::gallons(5.0),
        };
        let expected = 41.5 * 1728.0 / (5.0 * 231.0);
        assert!((test.density().as_pounds_per_cubic_foot() - expected).abs() < 1e-9);
        assert!((expected - 62.09).abs() < 0.005);
    }
}
