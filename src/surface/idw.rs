use super::SurfaceError;

/// Which samples count at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Neighbors {
    /// The nearest so many, and every sample as near as the last of them.
    Nearest(usize),
    /// All samples.
    All,
}

/// How samples are weighted: one over the distance to a power, for the nearest of them.
///
/// Samples that tie with the n-th nearest all count, so that the value does not depend on which of
/// them happened to be found first. Two squared distances tie when they differ by at most
/// [`Idw::TIE`] of their size.
///
/// With a radius, samples farther than it do not count. Where none is within it, the nearest one
/// does (the mean of those that tie for nearest).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Idw {
    pub(super) power: f64,
    pub(super) neighbors: Neighbors,
    pub(super) radius: Option<f64>,
}

impl Idw {
    /// The relative difference of squared distances that still is a tie: 1e-10.
    ///
    /// At 100 m that is 5 nm: wider than the rounding of coordinates up to ten million meters
    /// (1 nm), so that samples that stand symmetrically about a place do tie, and far narrower than
    /// any distance that is measured.
    pub const TIE: f64 = 1e-10;

    /// Weighting by a power of the distance, with an optional radius in meters.
    ///
    /// # Errors
    /// When the power or the radius is not a finite number above 0, or no neighbors are asked for.
    pub fn new(
        power: f64,
        neighbors: Neighbors,
        radius: Option<f64>,
    ) -> Result<Self, SurfaceError> {
        if !(power.is_finite() && power > 0.0) {
            return Err(SurfaceError::Power(power));
        }
        if neighbors == Neighbors::Nearest(0) {
            return Err(SurfaceError::NoNeighbors);
        }
        match radius {
            Some(metres) if !(metres.is_finite() && metres > 0.0) => {
                Err(SurfaceError::Radius(metres))
            }
            _ => Ok(Self { power, neighbors, radius }),
        }
    }

    /// The power of the distance.
    #[must_use]
    pub const fn power(&self) -> f64 {
        self.power
    }

    /// Which samples count.
    #[must_use]
    pub const fn neighbors(&self) -> Neighbors {
        self.neighbors
    }

    /// The radius in meters beyond which samples do not count.
    #[must_use]
    pub const fn radius(&self) -> Option<f64> {
        self.radius
    }

    /// How many nearest samples must be known to tell which of `samples` count.
    pub(super) fn rank(&self, samples: usize) -> usize {
        match (self.neighbors, self.radius) {
            (Neighbors::Nearest(count), _) => count.min(samples),
            (Neighbors::All, None) => samples,
            (Neighbors::All, Some(_)) => 1,
        }
    }

    /// The largest squared distance that counts, from the nearest and the n-th squared distance.
    pub(super) fn limit(&self, nearest: f64, nth: f64) -> f64 {
        let by_rank = match self.neighbors {
            Neighbors::Nearest(_) => nth * (1.0 + Self::TIE),
            Neighbors::All => f64::INFINITY,
        };
        match self.radius {
            Some(radius) if nearest > radius * radius => nearest * (1.0 + Self::TIE),
            Some(radius) => by_rank.min(radius * radius),
            None => by_rank,
        }
    }
}

impl Default for Idw {
    /// Power 2, the 12 nearest, no radius.
    fn default() -> Self {
        Self { power: 2.0, neighbors: Neighbors::Nearest(12), radius: None }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_that_make_no_sense_are_refused() {
        let message = |made: Result<Idw, SurfaceError>| made.unwrap_err().to_string();
        assert_eq!(
            message(Idw::new(0.0, Neighbors::All, None)),
            "power 0: expected a number above 0, such as 2"
        );
        assert_eq!(
            message(Idw::new(2.0, Neighbors::Nearest(0), None)),
            "0 neighbors: expected at least 1, or all"
        );
        assert_eq!(
            message(Idw::new(2.0, Neighbors::All, Some(f64::NAN))),
            "radius NaN m: expected a distance above 0"
        );
    }
}
