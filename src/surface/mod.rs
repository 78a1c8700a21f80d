//! The surface through the soil samples: inverse distance weighting.
//!
//! Positions are in metres on any plane (the field's own projection), values in any unit; the
//! surface has the unit of the values. Nothing here knows of fields, files or tiers.
//!
//! The method is Shepard's (D. Shepard, "A two-dimensional interpolation function for
//! irregularly-spaced data", *Proceedings of the 23rd ACM National Conference*, 1968, 517-524): the
//! value at a place is the mean of the samples near it, each weighted by one over its distance to a
//! power. The surface goes through every sample and never leaves the range of the samples it uses.

mod block;
mod choose;
mod cross_validation;
mod error;
mod evaluate;
mod idw;
mod lanes;
mod lattice;
mod leave_one_out;
mod point;
mod power;
mod select;
mod tile;

#[cfg(test)]
mod brute_force;

use rstar::RTree;
use rstar::primitives::GeomWithData;

pub use choose::{Choice, Search, Trial, choose};
pub use cross_validation::CrossValidation;
pub use error::SurfaceError;
pub use idw::{Idw, Neighbors};
pub use lattice::Lattice;
pub use point::Point;

/// A sample's place in the search tree, with its number in the canonical order.
type Entry = GeomWithData<[f64; 2], usize>;

/// An interpolated surface: samples and the way to weight them.
///
/// The samples are held in one canonical order, and every sum runs in that order, so no value
/// depends on the order in which the samples came.
#[derive(Clone, Debug)]
pub struct Surface {
    points: Vec<Point>,
    tree: RTree<Entry>,
    idw: Idw,
}

impl Surface {
    /// A surface through samples.
    ///
    /// Samples may share a place; there the surface is their mean.
    ///
    /// # Errors
    /// When there is no sample, or a coordinate or a value is not a finite number.
    pub fn new(mut points: Vec<Point>, idw: Idw) -> Result<Self, SurfaceError> {
        if points.is_empty() {
            return Err(SurfaceError::NoSamples);
        }
        if let Some(point) = points.iter().find(|point| !point.is_finite()) {
            return Err(SurfaceError::NotFinite(*point));
        }
        points.sort_by(Point::canonical);
        let entries = points
            .iter()
            .enumerate()
            .map(|(number, point)| Entry::new([point.easting, point.northing], number))
            .collect();
        Ok(Self { points, tree: RTree::bulk_load(entries), idw })
    }

    /// The samples in their canonical order: by northing, then easting, then value.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// How the samples are weighted.
    #[must_use]
    pub const fn idw(&self) -> &Idw {
        &self.idw
    }
}
