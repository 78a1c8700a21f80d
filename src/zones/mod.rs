//! From a surface to zones: connected pieces of one tier that tile the field.

mod cells;
mod class;
mod clean_up;
mod coordinate_pair;
mod crossings;
mod error;
mod islands;
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
mod prefer;
mod rim;
mod rounding;
mod sharing;
mod triangulation;
mod vertices;

pub use class::{APART, ClassOfGround};
pub use clean_up::{CleanUp, Islands, clean_up};
pub use error::RimError;
pub use islands::{Joined, NodeOdds};
pub use level::{BetweenClasses, CROSSING_TOLERANCE, Classes};
pub use mesh::Mesh;
pub use partition::{Partition, partition};
pub use passes::{ClassedNodes, Passes, along_passes, longest_side};
pub use prefer::Prefer;
pub use rounding::{GridPoint, Settled, settled};
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
    /// The class of a sample's vertex: its own, unless that reaches no foot from it in any
    /// direction, as where its CEC is just at a break: then it is a point and no zone, and has the
    /// class of most of what is around it.
    #[must_use]
    pub fn class_of_sample(&self, at: geo::Coord<f64>) -> u32 {
        const REACH: f64 = 0.3;
        let class = |at: geo::Coord<f64>| self.class(self.value(at));
        let own = class(at);
        let mut around = [0, 1, 2, 3, 4, 5, 6, 7].map(|i| {
            let turn = f64::from(i) * std::f64::consts::FRAC_PI_4;
            class(geo::Coord {
                x: at.x + REACH * libm::cos(turn),
                y: at.y + REACH * libm::sin(turn),
            })
        });
        if around.contains(&own) {
            return own;
        }
        around.sort_unstable();
        let runs = around.chunk_by(|a, b| a == b);
        // The lowest of those that are most.
        let most = runs.rev().max_by_key(|run| run.len());
        most.and_then(<[u32]>::first).copied().unwrap_or(own)
    }
}

impl Classes for Tiered<'_> {
    fn value(&self, at: geo::Coord<f64>) -> f64 {
        self.surface.at(at.x, at.y)
    }

    fn values_within<'a>(
        &'a self,
        middle: geo::Coord<f64>,
        distance: f64,
    ) -> Box<dyn Fn(geo::Coord<f64>) -> f64 + 'a> {
        let value = self.surface.within([middle.x, middle.y], distance);
        Box::new(move |at| value(at.x, at.y))
    }

    fn class(&self, value: f64) -> u32 {
        self.tiers.class(value)
    }

    fn break_above(&self, class: u32) -> f64 {
        self.tiers.break_above(class)
    }
}
