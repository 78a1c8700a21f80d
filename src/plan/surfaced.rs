//! The first stage: the field and its CEC surface. No tier, rate or price is in it.

use std::sync::Arc;

use geo::Coord;

use super::model::Model;
use super::representative_nodes::{RepresentativeNode, representative_nodes};
use super::sampled_ground::SampledGround;
use super::second_look::doubts;
use super::{AreaByCec, PlanError, Settings, SurfaceReport, SurfaceSettings};
use crate::field::{Field, KeepOutError, KeepOutLayer, Sample, SetRateError, SetRateLayer};
use crate::surface::{ErrorModel, Interpolator, Lattice, Point, Truth};
use crate::units::{Area, Length};
use crate::zones::Mesh;

/// A field with its surface, from which it is zoned again and again: with other tiers, another
/// clean-up, other prices, and, by [`Surfaced::with_areas_apart`], other ground that is
/// not spread or has its rate set.
#[derive(Clone)]
pub struct Surfaced {
    /// The field.
    pub field: Field,
    pub(super) ground: Arc<SampledGround>,
    /// What fills the field; the samples are among its vertices.
    pub(super) mesh: Arc<Mesh>,
    /// The surface at the mesh's vertices.
    pub(super) values: Arc<[f64]>,
    /// The nodes that stand for the ground that is spread.
    pub(super) representatives: Arc<[RepresentativeNode]>,
}

impl Surfaced {
    /// Interpolates the CEC of a field.
    ///
    /// # Errors
    /// When the surface or its lattice cannot be made, or the field cannot be filled.
    pub fn new(field: Field, settings: &SurfaceSettings, grid: Length) -> Result<Self, PlanError> {
        let points: Vec<Point> = field.samples.iter().map(point).collect();
        let lattice = Lattice::over(field.boundary.local(), grid.as_metres())?;
        let Model { surface, inverse_distance, fitted, report } = Model::new(&points, settings)?;
        let surface: Arc<dyn Interpolator> = surface.into();
        let nodes = surface.on_lattice(&lattice);
        let cautious = fitted.map(|fitted| fitted.cautious.variogram);
        let errors = ErrorModel::new(Arc::clone(&surface), cautious.as_ref());
        let doubts = doubts(&field, &inverse_distance, &lattice)?;
        let settings = *settings;
        let ground = SampledGround {
            settings,
            grid,
            report,
            surface,
            fitted,
            errors,
            doubts,
            lattice,
            nodes,
        };
        Self::filled(field, Arc::new(ground))
    }

    /// The same surface with other ground kept out, and the rate set on other ground.
    ///
    /// # Errors
    /// As [`Field::keeping_out`] and [`Field::setting_rates`], or when what is left cannot be filled.
    pub fn with_areas_apart(
        &self,
        keep_out: Vec<KeepOutLayer>,
        set_rate: Vec<SetRateLayer>,
    ) -> Result<Self, AreasApartError> {
        let mut field = self.field.clone();
        field.keep_outs.clear();
        let field = field.keeping_out(keep_out)?.setting_rates(set_rate)?;
        Ok(Self::filled(field, Arc::clone(&self.ground))?)
    }

    fn filled(field: Field, ground: Arc<SampledGround>) -> Result<Self, PlanError> {
        let samples: Vec<Coord<f64>> = field.samples.iter().map(|s| s.position).collect();
        let apart = field.areas_apart();
        let mesh = Mesh::fill(field.boundary.local(), &apart, &samples, ground.lattice)?;
        let beyond = mesh.extras().iter().map(|at| ground.surface.at(at.x, at.y));
        let values = ground.nodes.iter().copied().chain(beyond).collect();
        let representatives = representative_nodes(&ground, mesh.inside()).into();
        Ok(Self { field, ground, mesh: Arc::new(mesh), values, representatives })
    }

    /// Whether the settings ask for this very surface.
    #[must_use]
    pub fn suits(&self, settings: &Settings) -> bool {
        self.ground.settings == settings.surface && self.ground.grid == settings.grid
    }

    /// How the surface was chosen.
    #[must_use]
    pub fn report(&self) -> &SurfaceReport {
        &self.ground.report
    }

    /// What a new soil sample at a place in the field's meters is expected to show, meq/100 g; none for
    /// fewer than two samples.
    #[must_use]
    pub fn truth_at(&self, at: Coord<f64>) -> Option<Truth> {
        let errors = self.ground.errors.as_ref()?;
        Some(errors.truth_at(at.x, at.y, self.cec_at(at)))
    }

    /// How much of the ground that is spread lies at which CEC, in at most so many steps. Each node of
    /// the lattice counts for the same share of `spread`, the area of that ground: the steps add up to
    /// it, and each is known to about its border's length times half the node spacing.
    #[must_use]
    pub fn area_by_cec(&self, spread: Area, most: usize) -> AreaByCec {
        let spread_nodes = self.ground.nodes.iter().zip(self.mesh.inside());
        let values: Vec<f64> =
            spread_nodes.filter(|(_, inside)| **inside).map(|(value, _)| *value).collect();
        AreaByCec::of(&values, spread, most)
    }

    /// The interpolated CEC, meq/100 g, at a place in the field's meters.
    #[must_use]
    pub fn cec_at(&self, at: Coord<f64>) -> f64 {
        self.ground.surface.at(at.x, at.y)
    }
}

/// Why other ground cannot be kept out or have its rate set.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AreasApartError {
    /// A layer that is kept out is at fault.
    #[error(transparent)]
    KeepOut(#[from] KeepOutError),
    /// A layer whose rate is set is at fault.
    #[error(transparent)]
    SetRate(#[from] SetRateError),
    /// The field cannot be filled.
    #[error(transparent)]
    Plan(#[from] PlanError),
}

fn point(sample: &Sample) -> Point {
    Point { easting: sample.position.x, northing: sample.position.y, value: sample.cec }
}
