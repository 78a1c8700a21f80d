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

/// A boundary with the samples taken in it.
#[derive(Clone, Debug)]
pub struct Field {
    /// The boundary.
    pub boundary: Boundary,
    /// The samples, in the boundary's frame.
    pub samples: Samples,
    /// What somebody should look at before using the result, in the order it was found.
    pub warnings: Vec<String>,
}

impl Field {
    /// A field of a boundary and the samples as read. `warnings` are those that came up on the way.
    ///
    /// # Errors
    /// When a sample is unsound or there are too few: see [`Samples::new`].
    pub fn new(
        boundary: Boundary,
        raw: Vec<RawSample>,
        mut warnings: Vec<String>,
    ) -> Result<Self, SampleError> {
        let (samples, found) = Samples::new(raw, &boundary)?;
        warnings.extend(found);
        Ok(Field { boundary, samples, warnings })
    }
}
