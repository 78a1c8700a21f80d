//! The field: its boundary and its samples, checked when built. Who holds one holds a sound one.

mod assumed;
mod boundary;
mod dissolve;
mod distance;
mod elsewhere;
mod error;
mod exclude;
mod ground_left;
mod holes;
mod keep_out;
mod keep_out_layer;
mod merge;
mod outline;
mod outside;
mod rings;
mod same_id;
mod sample;
mod samples;
mod set_rate;
mod site;
mod spread_over;
mod taken;
mod water;

pub use boundary::Boundary;
pub(crate) use boundary::WIDEST_M;
pub use error::{BoundaryError, Contradiction, RingPlace, SampleError};
pub use exclude::{ExcludeError, Exclusion, exclude};
pub use holes::{HOLE, Hole};
pub use keep_out::{KeepOut, KeepOutError, keep_outs};
pub use keep_out_layer::KeepOutLayer;
pub use outline::{FieldOfSample, FieldOutline, belongs};
pub use outside::MOST_REACH;
pub use sample::{RawSample, Sample};
pub use samples::Samples;
pub use set_rate::{AreaApart, SetArea, SetRateError, SetRateLayer};
pub use site::{Nearby, Site, SiteError};
pub use spread_over::SpreadOver;
pub use taken::taken;

use crate::projection::Coordinates;
use crate::units::{Length, Written};
use crate::warning::Warning;

/// A boundary with the samples taken in it.
///
/// ```
/// use geo::{coord, polygon};
/// use landplaster::field::{Boundary, Field, RawSample};
/// use landplaster::projection::Coordinates;
///
/// let square = polygon![
///     (x: -85.2, y: 40.4), (x: -85.198, y: 40.4), (x: -85.198, y: 40.402), (x: -85.2, y: 40.402),
/// ];
/// let boundary = Boundary::new(square.into(), "square.geojson")?;
/// let sample = |row, x, y, cec| RawSample {
///     id: format!("S{row}"),
///     place: format!("samples.csv, row {row}"),
///     wgs84: coord! { x: x, y: y },
///     cec: Some(cec),
///     cations: None,
///     esp: None,
/// };
/// let samples = vec![
///     sample(2, -85.1995, 40.4005, 8.0),
///     sample(3, -85.1985, 40.4005, 12.0),
///     sample(4, -85.1990, 40.4015, 17.0),
///     sample(5, -85.1900, 40.4015, 30.0),
/// ];
/// let wgs84 = || Coordinates { crs: "WGS 84".to_owned(), accuracy: None };
/// let field = Field::new((boundary, wgs84()), (samples, wgs84()), Vec::new())?;
///
/// // The last one lies half a mile east of the field: it is told of and does not count.
/// assert_eq!(field.samples.len(), 3);
/// assert_eq!(field.warnings.len(), 1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
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
    /// Its parts whose rate is set, which have nothing in common with these either.
    pub set_areas: Vec<SetArea>,
    /// What the job keeps out, the features themselves, in the job's order.
    pub kept_from: Vec<Nearby>,
    /// How far from its holes nothing is spread; none where the job does not say.
    pub hole_setback: Option<Written<Length>>,
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
    /// When a sample is unsound or there are too few: see [`Samples::within`].
    pub fn new(
        boundary: (Boundary, Coordinates),
        samples: (Vec<RawSample>, Coordinates),
        warnings: Vec<Warning>,
    ) -> Result<Self, SampleError> {
        Self::with_samples_within(None, boundary, samples, warnings)
    }

    /// The same with samples that count up to a distance outside the boundary; where there is none,
    /// up to about one sample spacing.
    ///
    /// # Errors
    /// When a sample is unsound or there are too few: see [`Samples::within`].
    pub fn with_samples_within(
        reach: Option<Length>,
        (boundary, boundary_coordinates): (Boundary, Coordinates),
        (raw, samples_coordinates): (Vec<RawSample>, Coordinates),
        mut warnings: Vec<Warning>,
    ) -> Result<Self, SampleError> {
        let (samples, found) = Samples::within(raw, &boundary, reach)?;
        warnings.extend(found);
        let (excluded, keep_outs) = (Vec::new(), Vec::new());
        Ok(Field {
            boundary,
            samples,
            excluded,
            keep_outs,
            set_areas: Vec::new(),
            kept_from: Vec::new(),
            hole_setback: None,
            site: None,
            boundary_coordinates,
            samples_coordinates,
            warnings,
        })
    }

    /// The field with a distance that is kept from its holes; it counts when layers are kept out.
    #[must_use]
    pub fn with_hole_setback(self, distance: Option<Written<Length>>) -> Self {
        Self { hole_setback: distance, ..self }
    }

    /// The field with what is near the features of some layers kept out, and what is near its holes.
    /// Where two layers meet, the earlier has the ground. A layer with no part in the field is a
    /// warning.
    ///
    /// # Errors
    /// When a feature has no place on Earth, or nothing of the field is left.
    pub fn keeping_out(mut self, mut layers: Vec<KeepOutLayer>) -> Result<Self, KeepOutError> {
        let nearby = layers.iter().map(|layer| Nearby::new(layer, &self.boundary));
        self.kept_from = nearby.collect::<Result<_, _>>()?;
        layers.extend(self.hole_layer());
        let (keep_outs, warnings) = keep_out::keep_outs(&self.boundary, layers)?;
        self.keep_outs = keep_outs;
        self.warnings.extend(warnings);
        self.assume_setbacks();
        Ok(self)
    }

    /// The field with what its piles keep a distance from (`setbacks`) and where road trucks reach
    /// (`access`: lines or points, and how far from them a truck dumps). From water that is known
    /// otherwise, by its holes or by what is kept out, they keep [`Site::SETBACK`]. A setback from
    /// what is not within a mile of the field is a warning.
    ///
    /// # Errors
    /// When a feature has no place on Earth, or the access is a polygon or not within a mile.
    pub fn with_site(
        mut self,
        setbacks: &[KeepOutLayer],
        access: Option<&KeepOutLayer>,
    ) -> Result<Self, SiteError> {
        let (site, warnings) = Site::new(&self.boundary, setbacks, access)?;
        self.site = Some(site);
        self.assume_setbacks();
        self.warnings.extend(warnings);
        Ok(self)
    }
}

#[cfg(test)]
mod tests;
