//! Files to model values. Readers take names and bytes, never paths: whoever calls them has read
//! the files.
//!
//! A format is one module that gives `Outlines` for a boundary, a `Table` for samples, `Features`
//! that are kept from or a `ZoneFile` to be looked at, and one line in `format.rs`. Task data has a
//! room of its own.

mod agreement;
mod applied;
mod boundary;
mod cations;
mod cec;
mod cec_unit;
mod columns;
mod csv;
mod degrees;
mod depth;
mod error;
mod features;
mod format;
mod geojson;
mod grid;
mod heading;
mod ids;
mod join;
mod layer;
mod layout;
mod modus;
mod number;
mod outlines;
mod position;
mod reference;
mod result;
mod samples;
mod settings;
mod shapefile;
mod sheets;
mod sodium;
mod source;
mod spreadsheet;
mod systems;
mod table;
pub mod taskdata;
mod text;
mod tickets;
mod zone_file;
mod zones;

#[cfg(test)]
mod mutations;

pub use crate::projection::Coordinates;
use crate::warning::Warning;
pub use applied::{AppliedSettings, Logged, Record, applied};
pub use boundary::boundary;
pub use error::ReadError;
pub use features::features;
pub use samples::samples;
pub use settings::{Acidity, BoundarySettings, CationSettings, LaboratorySettings, SampleSettings};
pub use source::Source;
pub use systems::explained;
pub use tickets::tickets;
pub use zone_file::{Cell, Shape, ZoneFile, zone_file};
pub use zones::zones;

/// A value as read, with what is worth telling about the way it was read.
#[derive(Clone, Debug)]
pub struct Read<T> {
    /// The value.
    pub value: T,
    /// The coordinate system that the source was taken to be in.
    pub coordinates: Coordinates,
    /// What somebody should look at, in the order it was found.
    pub warnings: Vec<Warning>,
}
