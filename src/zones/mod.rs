//! From a surface to zones: connected pieces of one tier that tile the field.

mod cells;
mod clean_up;
mod level;
mod merge;
mod mesh;
mod narrow;
mod nearest_marked;
mod node_set;
mod opening;
mod outline;
mod partition;
mod parts;
mod passes;
mod rim;
mod sharing;
mod triangulation;

pub use clean_up::{Drivable, Prefer, clean_up};
pub use level::{Between, CROSSING_TOLERANCE, Classes};
pub use mesh::Mesh;
pub use partition::{KEEP_OUT, Partition, partition};
pub use passes::{Nodes, Passes, along_passes, longest_side};
pub use rim::RimError;
pub use sharing::{faces_of_nodes, means};

use crate::soil::Tiers;
use crate::surface::Interpolator;

/// A CEC surface classed into rate tiers.
pub struct Tiered<'a> {
    /// The interpolated CEC.
    pub surface: &'a dyn Interpolator,
    /// The tiers.
    pub tiers: &'a Tiers,
}

impl Tiered<'_> {
    /// Whether the tier at a place reaches a foot from it in some direction. Where it does not, as
    /// around a sample whose CEC is just at a break, it is a point and no zone.
    #[must_use]
    pub fn has_extent(&self, at: geo::Coord<f64>) -> bool {
        const REACH: f64 = 0.3;
        let class = |at: geo::Coord<f64>| self.class(self.value(at));
        let own = class(at);
        (0..8).map(|i| f64::from(i) * std::f64::consts::FRAC_PI_4).any(|turn| {
            class(geo::Coord { x: at.x + REACH * turn.cos(), y: at.y + REACH * turn.sin() }) == own
        })
    }
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
