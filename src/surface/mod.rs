//! The surface through the soil samples, by inverse distance or by kriging, and how far it is off.
//!
//! Positions are in meters on any plane (the field's own projection), values in any unit; the
//! surface has the unit of the values. Nothing here knows of fields, files or tiers.
//!
//! [`Surface`] is Shepard's method (D. Shepard, "A two-dimensional interpolation function for
//! irregularly-spaced data", *Proceedings of the 23rd ACM National Conference*, 1968, 517-524): the
//! value at a place is the mean of the samples near it, each weighted by one over its distance to a
//! power. The surface goes through every sample and never leaves the range of the samples it uses.
//! [`Kriging`] weights by a [`Variogram`] instead. Both are an [`Interpolator`], and an
//! [`ErrorModel`] says how sure either is of a place.

mod choose;
mod covariance;
mod cross_validation;
mod error;
mod error_model;
mod evaluate;
mod idw;
mod interpolator;
mod kernel;
mod kriging;
mod lattice;
mod leave_one_out;
mod one_per_place;
mod outliers;
mod point;
mod variogram;

#[cfg(test)]
mod brute_force;

use std::sync::OnceLock;

use rstar::RTree;
use rstar::primitives::GeomWithData;

pub use choose::{Choice, Search, Trial, choose};
pub use cross_validation::CrossValidation;
pub use error::SurfaceError;
pub use error_model::{ErrorBasis, ErrorModel, Truth};
pub use idw::{Idw, Neighbors};
pub use interpolator::Interpolator;
pub use kriging::Kriging;
pub use lattice::Lattice;
pub use outliers::{Outlier, outliers};
pub use point::Point;
pub use variogram::{Fit, Fitted, Lag, Variogram, VariogramShape, empirical};

use kernel::strips::Strips;

/// A sample's place in the search tree, with its number in the canonical order.
type Entry = GeomWithData<[f64; 2], usize>;

/// An interpolated surface: samples and the way to weight them.
///
/// The samples are held in one canonical order, and every sum runs in that order, so no value
/// depends on the order in which the samples came.
#[derive(Clone, Debug)]
pub struct Surface {
    strips: Strips,
    tree: OnceLock<RTree<Entry>>,
    idw: Idw,
}

impl Surface {
    /// A surface through samples.
    ///
    /// Samples may share a place; there the surface is their mean.
    ///
    /// # Errors
    /// When there is no sample, or a coordinate or a value is not a finite number.
    pub fn new(points: Vec<Point>, idw: Idw) -> Result<Self, SurfaceError> {
        if points.is_empty() {
            return Err(SurfaceError::NoSamples);
        }
        if let Some(point) = points.iter().find(|point| !point.is_finite()) {
            return Err(SurfaceError::NotFinite(*point));
        }
        Ok(Self { strips: Strips::new(points), tree: OnceLock::new(), idw })
    }

    /// The samples in their canonical order: in strips from the south, each strip by easting, then
    /// northing, then value. It depends on the samples alone.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        self.strips.points()
    }

    /// How the samples are weighted.
    #[must_use]
    pub const fn idw(&self) -> &Idw {
        &self.idw
    }

    /// The search tree, grown when a single place is first asked for.
    fn tree(&self) -> &RTree<Entry> {
        self.tree.get_or_init(|| {
            let entry = |(number, point): (usize, &Point)| {
                Entry::new([point.easting, point.northing], number)
            };
            RTree::bulk_load(self.points().iter().enumerate().map(entry).collect())
        })
    }
}
