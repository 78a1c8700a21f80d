//! Files to model values. Readers take names and bytes, never paths: whoever calls them has read
//! the files.
//!
//! A format is one module that gives `Records`, shapes with their attributes, or a `Table` without
//! shapes, and one line in `formats.rs`. A boundary, samples, features and zones are made of these.

mod agreement;
mod applied;
mod archive;
mod boundary;
mod budget;
mod cations;
mod cec;
mod cec_unit;
mod choice;
mod columns;
mod csv;
mod degrees;
mod depth;
mod error;
mod farm_samples;
mod features;
mod fields;
mod file_look;
mod format;
mod formats;
mod geojson;
#[cfg(feature = "geopackage")]
mod geopackage;
mod grid;
mod heading;
mod ids;
mod join;
mod kml;
mod layer;
mod layout;
mod modus;
mod nest;
mod number;
mod position;
mod records;
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
mod timelog;
mod zipped;
mod zone_file;
mod zones;

#[cfg(test)]
mod mutations;

pub use crate::projection::Coordinates;
use crate::warning::Warning;
pub use applied::{ApplicationRecord, AppliedSettings, LoggedQuantity, applied};
pub use boundary::{Outlines, boundary, boundary_among, outlines};
pub use error::ReadError;
pub use farm_samples::{FarmSamples, results_of_fields, samples_of_fields};
pub use features::features;
pub use fields::{OtherFields, SameNames, same_names};
pub use file_look::{FileLook, look_into};
pub use formats::{is_known, zone_file};
pub use samples::{NamedPlace, sample_places, samples, samples_among};
pub use settings::{
    Acidity, BoundarySettings, CationSettings, FeatureSettings, FieldsSettings, LaboratorySettings,
    SampleSettings,
};
pub use source::Source;
pub use systems::explained;
pub use tickets::tickets;
pub use timelog::logs;
pub use zone_file::{Cell, ZoneFile, ZoneShape};
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
