use geo::Coord;

use super::Surfaced;
use crate::sampling::{Aim, NextSamples, scaled_variogram};
use crate::soil::Tiers;
use crate::surface::ErrorBasis;
use crate::units::{Area, Mass};

/// What more samples would bring on a field that has a soil test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoreSamples {
    /// The tons that are expected to lie where the soil calls for another rate, by kriging from these
    /// samples.
    pub now: Mass,
    /// The same with [`MoreSamples::COUNT`] more where they pay most.
    pub then: Mass,
}

/// Nodes by which samples are judged, and nodes at which one may be taken: some tens of milliseconds.
const JUDGES: usize = 250;
const CANDIDATES: usize = 125;
/// A test of more samples is no longer asked whether it was enough: it would take too long to say.
const MOST: usize = 250;

impl MoreSamples {
    /// How many more.
    pub const COUNT: usize = 10;

    /// Of a field; none where the samples are too few for a variogram, or so many that nobody asks. It
    /// takes longer than a plan, and is no part of one.
    #[must_use]
    pub fn new(surfaced: &Surfaced, tiers: &Tiers, area: Area) -> Option<Self> {
        let ground = &surfaced.ground;
        let samples = ground.surface.points();
        let errors = ground.errors.as_ref()?;
        if samples.len() > MOST || errors.basis() == ErrorBasis::Constant {
            return None;
        }
        let nodes: Vec<Coord<f64>> = (surfaced.representatives.iter())
            .map(|representative| ground.lattice.node(representative.node))
            .collect();
        let thinned = |most: usize| {
            nodes.iter().step_by(nodes.len().div_ceil(most).max(1)).copied().collect()
        };
        let variogram = scaled_variogram(samples, &ground.fitted?).ok()?;
        let places = (thinned(JUDGES), thinned(CANDIDATES));
        let next = NextSamples::among(places, area, samples, variogram, tiers).ok()?;
        let then = next.chosen(Self::COUNT, Aim::Tons).last()?.misplaced;
        Some(Self { now: next.misplaced_now(), then })
    }

    /// Whether so many more would put at least a hundredth of a mass right.
    #[must_use]
    pub fn matter(&self, planned: Mass) -> bool {
        self.now - self.then >= planned * 0.01
    }
}
