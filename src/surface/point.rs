use std::cmp::Ordering;

/// A sample: a place in meters and what was measured there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Meters east.
    pub easting: f64,
    /// Meters north.
    pub northing: f64,
    /// The measured value.
    pub value: f64,
}

impl Point {
    /// Whether all three numbers are finite.
    #[must_use]
    pub const fn is_finite(&self) -> bool {
        self.easting.is_finite() && self.northing.is_finite() && self.value.is_finite()
    }

    /// The squared distance to a place, in square meters.
    #[must_use]
    pub fn squared_distance(&self, easting: f64, northing: f64) -> f64 {
        let east = easting - self.easting;
        let north = northing - self.northing;
        east * east + north * north
    }

    /// An order that no two different samples share: by easting, then northing, then value.
    pub(super) fn canonical(&self, other: &Self) -> Ordering {
        (self.easting.total_cmp(&other.easting))
            .then(self.northing.total_cmp(&other.northing))
            .then(self.value.total_cmp(&other.value))
    }
}
