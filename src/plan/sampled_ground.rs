use std::sync::Arc;

use super::second_look::DoubtfulSample;
use super::{SurfaceReport, SurfaceSettings};
use crate::surface::{ErrorModel, Interpolator, Lattice};
use crate::units::Length;

/// What the samples say of the ground.
pub(super) struct SampledGround {
    pub settings: SurfaceSettings,
    pub grid: Length,
    pub report: SurfaceReport,
    pub surface: Arc<dyn Interpolator>,
    pub errors: Option<ErrorModel>,
    pub doubts: Vec<DoubtfulSample>,
    pub lattice: Lattice,
    /// The surface at the lattice's nodes.
    pub nodes: Vec<f64>,
}
