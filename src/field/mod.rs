//! The field: its boundary and its samples, checked when built. Who holds one holds a sound one.

mod boundary;
mod dissolve;
mod distance;
mod error;
mod exclude;
mod keep_out;
mod merge;
mod rings;
mod sample;
mod samples;
mod site;

pub use boundary::Boundary;
pub use error::{BoundaryError, RingPlace, SampleError};
pub use exclude::{ExcludeError, Exclusion, exclude};
pub use keep_out::{KeepOut, KeepOutError, Layer};
pub use sample::{RawSample, Sample};
pub use samples::Samples;
pub use site::{Nearby, Site, SiteError};

use crate::projection::Coordinates;
use crate::warning::Warning;

/// A boundary with the samples taken in it.
#[derive(Clone, Debug)]
pub struct Field {
    /// The boundary.
    pub boundary: Boundary,
    /// The samples, in the boundary's frame.
    pub samples: Samples,
    /// Samples that were taken in it and do not count, as read.
    pub excluded: Vec<RawSample>,
    /// Its parts that are not spread, which have nothing in common.
    pub keep_outs: Vec<KeepOut>,
    /// Where piles of material may lie; none where nobody asked.
    pub site: Option<Site>,
    /// The coordinate system that the boundary was taken to be in.
    pub boundary_coordinates: Coordinates,
    /// The coordinate system that the samples were taken to be in.
    pub samples_coordinates: Coordinates,
    /// What somebody should look at before using the result, in the order it was found.
    pub warnings: Vec<Warning>,
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
        mut warnings: Vec<Warning>,
    ) -> Result<Self, SampleError> {
        let (samples, found) = Samples::new(raw, &boundary)?;
        warnings.extend(found);
        let (excluded, keep_outs) = (Vec::new(), Vec::new());
        Ok(Field {
            boundary,
            samples,
            excluded,
            keep_outs,
            site: None,
            boundary_coordinates,
            samples_coordinates,
            warnings,
        })
    }

    /// The field with what is near the features of some layers kept out. Where two layers meet, the
    /// earlier has the ground. A layer with no part in the field is a warning.
    ///
    /// # Errors
    /// When a feature has no place on Earth, or nothing of the field is left.
    pub fn keeping_out(mut self, layers: Vec<Layer>) -> Result<Self, KeepOutError> {
        let (keep_outs, warnings) = keep_out::keep_outs(&self.boundary, layers)?;
        self.keep_outs = keep_outs;
        self.warnings.extend(warnings);
        Ok(self)
    }

    /// The field with what its piles keep a distance from (`setbacks`) and where road trucks reach
    /// (`access`: lines or points, and how far from them a truck dumps). A setback from what is not
    /// within a mile of the field is a warning.
    ///
    /// # Errors
    /// When a feature has no place on Earth, or the access is a polygon or not within a mile.
    pub fn with_site(
        mut self,
        setbacks: &[Layer],
        access: Option<&Layer>,
    ) -> Result<Self, SiteError> {
        let (site, warnings) = Site::new(&self.boundary, setbacks, access)?;
        self.site = Some(site);
        self.warnings.extend(warnings);
        Ok(self)
    }
}
