use crate::units::{Quantity, System};

/// The least and the most of a setting. Neither is negative or zero, and the least is not above the
/// most: ranges are checked when the machine file is read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range<Q> {
    /// The least.
    pub least: Q,
    /// The most.
    pub most: Q,
}

impl<Q: Quantity> Range<Q> {
    /// A range; the order of its ends is the caller's.
    #[must_use]
    pub fn new(least: Q, most: Q) -> Self {
        Self { least, most }
    }

    /// Whether a value lies within, ends included.
    #[must_use]
    pub fn holds(&self, value: Q) -> bool {
        self.least.si() <= value.si() && value.si() <= self.most.si()
    }

    /// Prints both ends with one unit, such as `2.0 to 12.0 in`.
    #[must_use]
    pub fn show(&self, system: System, decimals: usize) -> String {
        format!(
            "{:.decimals$} to {}",
            self.least.value_in(system),
            self.most.show(system, decimals)
        )
    }
}
