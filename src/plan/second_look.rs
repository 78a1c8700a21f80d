use crate::field::Field;
use crate::soil::Tiers;
use crate::surface::{Lattice, Point, Surface, SurfaceError};
use crate::units::{Area, Mass};
use crate::warning::Warning;
use crate::zones::Mesh;

/// A sample that does not fit its neighbours.
#[derive(Clone, Debug, PartialEq)]
pub struct SecondLook {
    /// Its name.
    pub id: String,
    /// Its CEC, meq/100 g.
    pub cec: f64,
    /// What its neighbours say, meq/100 g.
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

/// The samples that deserve a second look. The material is counted on the lattice's nodes in the
/// field, before any clean-up.
pub(super) fn second_looks(
    field: &Field,
    surface: &Surface,
    lattice: &Lattice,
    mesh: &Mesh,
    tiers: &Tiers,
) -> Result<Vec<SecondLook>, SurfaceError> {
    let cell = Area::square_metres(lattice.step() * lattice.step());
    let mass = |values: &[f64]| -> Mass {
        let spread = values.iter().zip(mesh.inside()).filter(|(_, inside)| **inside);
        spread.map(|(cec, _)| tiers.rate(*cec) * cell).sum()
    };
    let mut looks = Vec::new();
    let found = surface.outliers();
    let with = if found.is_empty() { Mass::ZERO } else { mass(&surface.on_lattice(lattice)) };
    for outlier in found {
        let numbered = surface.points().iter().enumerate();
        let others: Vec<Point> =
            numbered.filter(|(i, _)| *i != outlier.number).map(|(_, point)| *point).collect();
        let without = Surface::new(others, *surface.idw())?.on_lattice(lattice);
        let place = surface.points().get(outlier.number);
        let is_it = |sample: &&crate::field::Sample| {
            place.is_some_and(|at| {
                sample.position.x == at.easting
                    && sample.position.y == at.northing
                    && sample.cec == at.value
            })
        };
        let id = field.samples.iter().find(is_it).map(|sample| sample.id.clone());
        looks.push(SecondLook {
            id: id.unwrap_or_default(),
            cec: outlier.observed,
            neighbors_say: outlier.expected,
            mass: with - mass(&without),
        });
    }
    Ok(looks)
}
