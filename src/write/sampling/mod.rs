//! A sampling plan as files: for the phone, the receiver, the desk and the laboratory.

mod gpx;
mod kml;
mod tables;

pub use tables::{LABORATORY, has_results};

use geojson::GeometryValue;
use serde_json::json;

use super::piles::{collection, feature};
use super::{FormatError, OutputFile};
use crate::report::{sampling_map, sampling_sheet, worth_picture, worth_table};
use crate::sampling::{SamplingPlan, Worth};
use crate::units::System;

/// The names that a sampling plan gives its files: a run replaces these and leaves all others alone.
const NAMES: [&str; 7] = [
    "points.geojson",
    "points.gpx",
    "points.kml",
    "points.csv",
    LABORATORY,
    "sampling.svg",
    "sampling.html",
];

/// Whether a file in a sampling plan's folder is one of this program's.
#[must_use]
pub fn is_of_sampling(name: &str) -> bool {
    NAMES.contains(&name)
}

/// Every file of a sampling plan.
///
/// # Errors
/// When a value does not fit a format's limits, or the sheet cannot be made.
pub fn sampling_files(plan: &SamplingPlan) -> Result<Vec<OutputFile>, FormatError> {
    let [geojson, gpx, kml, csv, laboratory, map, sheet] = NAMES;
    let fault = |file: &'static str| {
        move |error: &dyn std::fmt::Display| FormatError { file, reason: error.to_string() }
    };
    Ok(vec![
        OutputFile::new(geojson, points(plan)),
        OutputFile::new(gpx, gpx::text(plan).map_err(|error| fault(gpx)(&error))?),
        OutputFile::new(kml, kml::text(plan).map_err(|error| fault(kml)(&error))?),
        OutputFile::new(csv, tables::points(plan).map_err(|error| fault(csv)(&error))?),
        OutputFile::new(
            laboratory,
            tables::laboratory(plan).map_err(|error| fault(laboratory)(&error))?,
        ),
        OutputFile::new(map, sampling_map(plan).map_err(|error| fault(map)(&error))?),
        OutputFile::new(sheet, sampling_sheet(plan).map_err(|error| fault(sheet)(&error))?),
    ])
}

/// What numbers of samples are worth, as a table and a picture.
///
/// # Errors
/// When the picture cannot be drawn.
pub fn worth_files(worth: &Worth, system: System) -> Result<Vec<OutputFile>, FormatError> {
    const NAMES: [&str; 2] = ["worth.csv", "worth.svg"];
    let [table, picture] = NAMES;
    let drawn = worth_picture(worth, system);
    let drawn = drawn.map_err(|error| FormatError { file: picture, reason: error.to_string() })?;
    Ok(vec![
        OutputFile::new(table, worth_table(worth, system).csv()),
        OutputFile::new(picture, drawn),
    ])
}

/// `points.geojson`: RFC 7946, WGS84, one feature a sample, in walking order.
fn points(plan: &SamplingPlan) -> String {
    let point = |(walk, sample): (usize, &crate::sampling::PlannedSample)| {
        let coordinates = [sample.wgs84.x, sample.wgs84.y].into();
        feature(GeometryValue::Point { coordinates }, &json!({ "id": sample.id, "walk": walk }))
    };
    collection((1..).zip(&plan.samples).map(point).collect())
}
