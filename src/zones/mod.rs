//! From a surface to zones: connected pieces of one tier that tile the field.

mod cells;
mod level;
mod mesh;
mod partition;
mod rim;
mod sharing;

pub use level::{Borders, CROSSING_TOLERANCE, Classes};
pub use mesh::Mesh;
pub use partition::{Partition, partition};
pub use rim::RimError;
pub use sharing::means;

use crate::soil::Tiers;
use crate::surface::Surface;

/// A CEC surface classed into rate tiers.
#[derive(Debug)]
pub struct Tiered<'a> {
    /// The interpolated CEC.
    pub surface: &'a Surface,
    /// The tiers.
    pub tiers: &'a Tiers,
}

impl Classes for Tiered<'_> {
    fn value(&self, at: geo::Coord<f64>) -> f64 {
        self.surface.at(at.x, at.y)
    }

    fn class(&self, value: f64) -> u32 {
        self.tiers.class(value)
    }

    fn break_above(&self, class: u32) -> f64 {
        self.tiers.break_above(class)
    }
}
