use crate::field::{Field, Sample};
use crate::soil::Tiers;
use crate::surface::{Lattice, Outlier, Point, Surface, SurfaceError};
use crate::units::{Area, Mass};
use crate::warning::Warning;

/// A sample that does not fit its neighbors.
#[derive(Clone, Debug, PartialEq)]
pub struct SecondLook {
    /// Its name.
    pub id: String,
    /// Its CEC, meq/100 g.
    pub cec: f64,
    /// What its neighbors say, meq/100 g.
    pub neighbors_say: f64,
    /// How much more material the field takes with it than without it.
    pub mass: Mass,
}

impl SecondLook {
    pub(super) fn warning(&self) -> Warning {
        Warning::SampleUnlikeNeighbors {
            id: self.id.clone(),
            cec: self.cec,
            neighbors_say: self.neighbors_say,
            mass: self.mass,
        }
    }
}

/// A sample that does not fit its neighbors, before any tier.
pub(super) struct DoubtfulSample {
    id: String,
    outlier: Outlier,
    /// The lattice's nodes with it.
    with: std::sync::Arc<[f64]>,
    /// The same without it.
    without: Vec<f64>,
}

/// The samples that deserve a second look.
pub(super) fn doubts(
    field: &Field,
    surface: &Surface,
    lattice: &Lattice,
) -> Result<Vec<DoubtfulSample>, SurfaceError> {
    let found = surface.outliers();
    if found.is_empty() {
        return Ok(Vec::new());
    }
    let with: std::sync::Arc<[f64]> = surface.on_lattice(lattice).into();
    let doubt = |outlier: Outlier| {
        let numbered = surface.points().iter().enumerate();
        let others: Vec<Point> =
            numbered.filter(|(i, _)| *i != outlier.number).map(|(_, point)| *point).collect();
        let without = Surface::new(others, *surface.idw())?.on_lattice(lattice);
        let place = surface.points().get(outlier.number);
        let is_it = |sample: &&Sample| {
            place.is_some_and(|at| {
                sample.position.x == at.easting
                    && sample.position.y == at.northing
                    && sample.cec == at.value
            })
        };
        let id = field.samples.iter().find(is_it).map(|sample| sample.id.clone());
        Ok(DoubtfulSample { id: id.unwrap_or_default(), outlier, with: with.clone(), without })
    };
    found.into_iter().map(doubt).collect()
}

impl DoubtfulSample {
    /// What it means in material, counted on the lattice's nodes that are spread, before any
    /// clean-up.
    pub fn weighed(&self, lattice: &Lattice, inside: &[bool], tiers: &Tiers) -> SecondLook {
        let cell = Area::square_metres(lattice.step() * lattice.step());
        let mass = |values: &[f64]| -> Mass {
            let spread = values.iter().zip(inside).filter(|(_, inside)| **inside);
            spread.map(|(cec, _)| tiers.rate(*cec) * cell).sum()
        };
        SecondLook {
            id: self.id.clone(),
            cec: self.outlier.observed,
            neighbors_say: self.outlier.expected,
            mass: mass(&self.with) - mass(&self.without),
        }
    }
}
