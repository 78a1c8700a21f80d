use super::Variogram;

/// Squares that differ by less, of their size, are rounding.
const SAME: f64 = 1e-12;

/// A fitted model and how far it is from the samples' variogram.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The model.
    pub variogram: Variogram,
    /// The sum over classes of pairs times the squared difference over the squared distance.
    pub weighted_squares: f64,
}

/// A fit, and the model to judge errors by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitted {
    /// The nearest model, to interpolate by.
    pub nearest: Fit,
    /// The nearest model with the nugget that is to be expected, for an error model.
    pub cautious: Fit,
}

impl Fit {
    /// Whether it is nearer by more than rounding.
    fn is_nearer_than(&self, other: &Self) -> bool {
        self.weighted_squares < other.weighted_squares * (1.0 - SAME)
    }

    pub(super) fn nearer(self, other: Self) -> Self {
        if other.is_nearer_than(&self) { other } else { self }
    }
}
