use crate::spreader::pans::Pattern;
use crate::units::{Length, Quantity};

/// The spread pattern as shares: what part of all that is thrown lands left of a place across the
/// way.
///
/// Between two pans the pattern runs straight, and nothing lands beyond the last ones, as
/// [`Pattern::rate_at`] reads it.
#[derive(Clone, Debug, PartialEq)]
pub struct Throw {
    first: f64,
    spacing: f64,
    /// Densities at the places, a share a meter.
    density: Vec<f64>,
    /// What lands left of each place.
    before: Vec<f64>,
    measured: bool,
}

impl Throw {
    /// The pattern of a catch-pan test; none where nothing was caught.
    #[must_use]
    pub fn of(pattern: &Pattern) -> Option<Self> {
        let caught: Vec<f64> = pattern.rates().iter().map(|rate| rate.si()).collect();
        let (first, spacing) = (pattern.left().si(), pattern.spacing().si());
        let pairs = || caught.iter().zip(caught.iter().skip(1));
        let whole: f64 = pairs().map(|(a, b)| 0.5 * (a + b) * spacing).sum();
        if !(whole > 0.0 && whole.is_finite()) {
            return None;
        }
        let mut sum = 0.0;
        let steps = pairs().map(|(a, b)| {
            sum += 0.5 * (a + b) * spacing / whole;
            sum
        });
        let before = std::iter::once(0.0).chain(steps).collect();
        let density = caught.iter().map(|height| height / whole).collect();
        Some(Self { first, spacing, density, before, measured: true })
    }

    /// A triangle twice as wide as the swath, which at that swath overlaps to an even rate: what is
    /// assumed where no pattern was measured.
    #[must_use]
    pub fn triangle(swath: Length) -> Self {
        let spacing = swath.si();
        let density = vec![0.0, 1.0 / spacing, 0.0];
        Self { first: -spacing, spacing, density, before: vec![0.0, 0.5, 1.0], measured: false }
    }

    /// The same everywhere over a width.
    #[must_use]
    pub fn even(width: Length) -> Self {
        let spacing = width.si();
        let density = vec![1.0 / spacing; 2];
        Self { first: -0.5 * spacing, spacing, density, before: vec![0.0, 1.0], measured: false }
    }

    /// Whether it was measured with catch pans.
    #[must_use]
    pub fn is_measured(&self) -> bool {
        self.measured
    }

    /// The places between which everything lands, in meters right of the way.
    #[must_use]
    pub fn reach(&self) -> [f64; 2] {
        [self.first, self.first + self.spacing * (self.density.len().saturating_sub(1)) as f64]
    }

    /// The share that lands left of a place, in meters right of the way.
    #[must_use]
    pub fn left_of(&self, place: f64) -> f64 {
        let at = (place - self.first) / self.spacing;
        if at.is_nan() || at <= 0.0 {
            return 0.0;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "above zero")]
        let i = at as usize;
        let value = |of: &[f64], i: usize| of.get(i).copied();
        let (Some(before), Some(here)) = (value(&self.before, i), value(&self.density, i)) else {
            return 1.0;
        };
        let Some(next) = value(&self.density, i + 1) else { return 1.0 };
        let part = at - i as f64;
        before + self.spacing * part * (here + 0.5 * part * (next - here))
    }

    /// The share that lands between two places, in meters right of the way.
    #[must_use]
    pub fn between(&self, from: f64, to: f64) -> f64 {
        self.left_of(to) - self.left_of(from)
    }
}
