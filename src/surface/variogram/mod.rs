//! How unlike samples are with distance: the variogram, from the samples and as a fitted model.
//!
//! Half the mean squared difference of two samples, by the distance between them (G. Matheron,
//! "Principles of geostatistics", *Economic Geology* 58, 1963, 1246-1266). The conventions are those
//! of the R package gstat (E. J. Pebesma, "Multivariable geostatistics in S: the gstat package",
//! *Computers & Geosciences* 30, 2004, 683-691), so that its results can be held against these.

mod empirical;
mod fit;
mod fitted;
mod search;

pub use empirical::{Lag, empirical};
pub use fitted::{Fit, Fitted};

/// The form of a variogram model: how the likeness of two samples falls with distance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VariogramShape {
    /// `1 - 1.5 h/a + 0.5 (h/a)^3` up to the range `a`, 0 from there on.
    Spherical,
    /// `exp(-h/a)`: a twentieth is left at three times the range `a`.
    Exponential,
}

/// A variogram model: nugget plus a spherical or an exponential part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Variogram {
    /// The form.
    pub shape: VariogramShape,
    /// What two samples differ by however near they are, in the samples' unit squared.
    pub nugget: f64,
    /// What distance adds to that, in the samples' unit squared.
    pub partial_sill: f64,
    /// The range `a` of the form, in meters.
    pub range: f64,
}

impl Variogram {
    /// Half the mean squared difference of samples far from each other, in their unit squared.
    #[must_use]
    pub fn sill(&self) -> f64 {
        self.nugget + self.partial_sill
    }

    /// Half the mean squared difference of two samples a distance in meters apart, in their unit
    /// squared; the nugget, as the limit from above, at 0.
    #[must_use]
    pub fn semivariance(&self, distance: f64) -> f64 {
        self.nugget + self.partial_sill * (1.0 - self.likeness(distance))
    }

    /// The covariance of two different samples a distance in meters apart, in their unit squared: the
    /// sill less the semivariance.
    #[must_use]
    pub fn covariance(&self, distance: f64) -> f64 {
        self.partial_sill * self.likeness(distance)
    }

    /// The correlation of what is not nugget, over a distance in meters.
    #[inline]
    pub(super) fn likeness(&self, distance: f64) -> f64 {
        let part = distance / self.range;
        match self.shape {
            VariogramShape::Spherical if part >= 1.0 => 0.0,
            VariogramShape::Spherical => 1.0 - part * (1.5 - 0.5 * part * part),
            VariogramShape::Exponential => libm::exp(-part),
        }
    }
}
