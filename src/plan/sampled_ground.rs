use std::sync::Arc;

use super::second_look::DoubtfulSample;
use super::{SurfaceReport, SurfaceSettings};
use crate::surface::{ErrorModel, Fitted, Interpolator, Lattice};
use crate::units::Length;

/// What the samples say of the ground.
pub(super) struct SampledGround {
    pub settings: SurfaceSettings,
    pub grid: Length,
    pub report: SurfaceReport,
    pub surface: Arc<dyn Interpolator>,
    /// The samples' variogram; none where they are too few.
    pub fitted: Option<Fitted>,
    pub errors: Option<ErrorModel>,
    pub doubts: Vec<DoubtfulSample>,
    pub lattice: Lattice,
    /// The surface at the lattice's nodes.
    pub nodes: Vec<f64>,
}
