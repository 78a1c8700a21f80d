//! Where to sample a field, and what samples are worth.
//!
//! [`Ground`] is the field as nodes in its own meters. [`grid`] lays a regular pattern over it,
//! [`coverage`] so many points wherever they are nearest to all ground, [`NextSamples`] finds where
//! more samples pay most on a field that has some, and [`walk`] a short way round them. [`Worth`] says
//! what a number of samples will bring, [`coarsest_grid`] which grid keeps to a standard error. All
//! of it is the same on any number of threads.

mod coarsest_grid;
mod coverage;
mod error;
mod gauss_legendre;
mod generator;
mod grid;
mod ground;
mod ids;
mod knowledge;
mod layout_variance;
mod likely_soil;
mod misplaced;
mod nearest;
mod next_samples;
mod pattern;
mod sampling_plan;
mod walk;
mod worth;

pub use coarsest_grid::{coarsest_grid, worst_standard_error};
pub use coverage::coverage;
pub use error::SamplingError;
#[cfg(test)]
pub(crate) use generator::Generator;
pub use grid::grid;
pub use ground::Ground;
pub use ids::{ids, prefix};
pub use layout_variance::{Joint, LayoutVariance};
pub use likely_soil::{LikelySoil, own_variogram, scaled_variogram};
pub use misplaced::Expected;
pub use nearest::mean_squared_distance;
pub use next_samples::{Aim, NextSample, NextSamples};
pub use pattern::Pattern;
pub use sampling_plan::{
    HowMany, Layout, MOST_SAMPLES, Nearness, PlannedSample, Promise, SampledField, SamplingPlan,
    Taking,
};
pub use walk::{Walk, walk};
pub use worth::{Best, Outcome, Worth, WorthPrices, WorthRow, expected};
