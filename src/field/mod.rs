//! The field: its boundary and its samples, checked when built. Who holds one holds a sound one.

mod boundary;
mod distance;
mod error;
mod merge;
mod rings;
mod sample;
mod samples;

pub use boundary::Boundary;
pub use error::{BoundaryError, RingPlace, SampleError};
pub use sample::{RawSample, Sample};
pub use samples::Samples;

use crate::projection::Coordinates;

/// A boundary with the samples taken in it.
#[derive(Clone, Debug)]
pub struct Field {
    /// The boundary.
    pub boundary: Boundary,
    /// The samples, in the boundary's frame.
    pub samples: Samples,
    /// The coordinate system that the boundary was taken to be in.
    pub boundary_coordinates: Coordinates,
    /// The coordinate system that the samples were taken to be in.
    pub samples_coordinates: Coordinates,
    /// What somebody should look at before using the result, in the order it was found.
    pub warnings: Vec<String>,
}

impl Field {
    /// A field of a boundary and the samples as read, each with the coordinate system that it was
    /// taken to be in. `warnings` are those that came up on the way.
    ///
    /// # Errors
    /// When a sample is unsound or there are too few: see [`Samples::new`].
    pub fn new(
        (boundary, boundary_coordinates): (Boundary, Coordinates),
        (raw, samples_coordinates): (Vec<RawSample>, Coordinates),
        mut warnings: Vec<String>,
    ) -> Result<Self, SampleError> {
        let (samples, found) = Samples::new(raw, &boundary)?;
        warnings.extend(found);
        Ok(Field { boundary, samples, boundary_coordinates, samples_coordinates, warnings })
    }
}
