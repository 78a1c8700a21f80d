//! What warnings tell of, where it takes more than a number or a name.

use crate::units::Length;

/// Two coordinate systems against each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SystemsApart {
    /// They put a point this far apart.
    By(Length),
    /// In one of them the coordinates have no meaning.
    Meaningless,
}

/// Where features are that are not near the field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Elsewhere {
    /// At the field, were their longitudes and latitudes swapped.
    Swapped,
    /// This far from its middle; none where there are no features.
    Away(Option<Length>),
}

/// A sample outside the boundary.
#[derive(Clone, Debug, PartialEq)]
pub struct OutsideSample {
    /// Where it was read, with its name.
    pub place: String,
    /// How far outside.
    pub distance: Length,
}

/// How far outside the boundary samples count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SampleReach {
    /// The distance.
    pub distance: Length,
    /// Whether the job says it; else it is about one sample spacing.
    pub is_set: bool,
}

/// Samples at one position with different CEC, which count as one with their mean.
#[derive(Clone, Debug, PartialEq)]
pub struct SamplesAtOnePlace {
    /// Where each was read, with its name, and its CEC.
    pub samples: Vec<(String, f64)>,
    /// The mean.
    pub mean: f64,
}
