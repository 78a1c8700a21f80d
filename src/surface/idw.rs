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
/// The mean of the nearest n alone jumps wherever another sample becomes the n-th. So the weight
/// falls to nothing at the distance `R` of the first sample that does not count: `((R - d) / (R d))^p`
/// (R. Franke and G. Little's, in R. J. Renka, "Multivariate interpolation of large sets of scattered
/// data", *ACM Transactions on Mathematical Software* 14, 1988, 139-148). Where all samples count
/// there is no such distance, and the weight is the plain one.
///
/// With a radius, samples farther than it do not count, and `R` is no more than it. Where none is
/// nearer than `R`, the nearest one counts (the mean of those that tie for nearest).
///
/// [`Idw::plain`] is Shepard's weight alone, `1 / d^p`. Samples that tie with the n-th nearest then
/// all count, so that the value does not depend on which of them happened to be found first. Two
/// squared distances tie when they differ by at most [`Idw::TIE`] of their size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Idw {
    pub(super) power: f64,
    pub(super) neighbors: Neighbors,
    pub(super) radius: Option<f64>,
    pub(super) taper: bool,
}

/// Which samples count at a place, and how their weights end.
#[derive(Clone, Copy, Debug)]
pub(super) struct NeighborReach {
    /// The largest squared distance that counts.
    pub limit: f64,
    /// Whether weights fall to nothing there.
    pub tapered: bool,
}

impl NeighborReach {
    /// Every sample.
    pub const ALL: Self = Self { limit: f64::INFINITY, tapered: false };
}

impl Idw {
    /// The relative difference of squared distances that still is a tie: 1e-10.
    ///
    /// At 100 m that is 5 nm: wider than the rounding of coordinates up to ten million meters
    /// (1 nm), so that samples that stand symmetrically about a place do tie, and far narrower than
    /// any distance that is measured.
    pub const TIE: f64 = 1e-10;

    /// Weighting by a power of the distance, with an optional radius in meters; tapered.
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
            _ => Ok(Self { power, neighbors, radius, taper: true }),
        }
    }

    /// The same without the taper.
    #[must_use]
    pub const fn plain(self) -> Self {
        Self { taper: false, ..self }
    }

    /// Whether weights fall to nothing at the first sample that does not count.
    #[must_use]
    pub const fn taper(&self) -> bool {
        self.taper
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

    /// Whether all of so many samples count everywhere.
    pub(super) fn takes_all(&self, samples: usize) -> bool {
        self.radius.is_none() && !self.has_a_next(samples)
    }

    /// Whether there is a sample beyond those that count by number.
    fn has_a_next(&self, samples: usize) -> bool {
        matches!(self.neighbors, Neighbors::Nearest(count) if count < samples)
    }

    /// Whether weights fall to nothing somewhere among so many samples.
    pub(super) fn tapers(&self, samples: usize) -> bool {
        self.taper && !self.takes_all(samples)
    }

    /// How many nearest samples must be known to tell which of `samples` count: with a taper, the
    /// first that does not as well.
    pub(super) fn rank(&self, samples: usize) -> usize {
        match (self.neighbors, self.radius) {
            (Neighbors::Nearest(count), _) => {
                count.saturating_add(usize::from(self.taper)).min(samples)
            }
            (Neighbors::All, None) => samples,
            (Neighbors::All, Some(_)) => 1,
        }
    }

    /// The largest squared distance that counts, from the nearest and the last ranked squared
    /// distance among so many samples. With a taper it may be that none counts.
    ///
    /// A taper ends a hair before the first sample that does not count, so that whatever ties with it
    /// has no weight.
    pub(super) fn limit(&self, samples: usize, nearest: f64, last: f64) -> f64 {
        let by_rank = match self.neighbors {
            Neighbors::Nearest(_) if !self.taper => last * (1.0 + Self::TIE),
            Neighbors::Nearest(_) if self.has_a_next(samples) => last * (1.0 - Self::TIE),
            _ => f64::INFINITY,
        };
        match self.radius {
            Some(radius) if !self.taper && nearest > radius * radius => nearest * (1.0 + Self::TIE),
            Some(radius) => by_rank.min(radius * radius),
            None => by_rank,
        }
    }

    /// Which samples count at a place: see [`Idw::limit`].
    pub(super) fn reach(&self, samples: usize, nearest: f64, last: f64) -> NeighborReach {
        let (limit, tapered) = (self.limit(samples, nearest, last), self.tapers(samples));
        if tapered && nearest >= limit {
            return NeighborReach { limit: nearest * (1.0 + Self::TIE), tapered: false };
        }
        NeighborReach { limit, tapered }
    }
}

impl Default for Idw {
    /// Power 2, the 12 nearest, no radius, tapered.
    fn default() -> Self {
        Self { power: 2.0, neighbors: Neighbors::Nearest(12), radius: None, taper: true }
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
