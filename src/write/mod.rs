//! A plan as files: one module a format, each from a plan to bytes.

mod field_sheet;
mod geojson;
mod kml;
mod map;
mod shapefile;
mod totals_csv;
mod totals_json;
mod zone_row;

pub use map::map_svg;
pub use totals_json::totals;

use crate::plan::Plan;

/// A file to be written into the job's folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutputFile {
    /// Its name, without folder.
    pub name: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

impl OutputFile {
    fn new(name: &str, bytes: impl Into<Vec<u8>>) -> Self {
        Self { name: name.to_owned(), bytes: bytes.into() }
    }
}

/// Why a plan could not be put into a format.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {reason}")]
pub struct FormatError {
    /// The file that was being made.
    pub file: &'static str,
    /// What stood in the way.
    pub reason: String,
}

/// The names that this program gives its files: a run replaces them and leaves all others alone.
const NAMES: [&str; 12] = [
    "zones.geojson",
    "zones.shp",
    "zones.shx",
    "zones.dbf",
    "zones.prj",
    "zones.cpg",
    "totals.json",
    "totals.csv",
    "zones.svg",
    "zones.png",
    "zones.kml",
    "sheet.html",
];

/// Whether a file in a job's folder is one of this program's.
#[must_use]
pub fn is_ours(name: &str) -> bool {
    NAMES.contains(&name)
}

type Format = fn(&Plan) -> Result<Vec<OutputFile>, FormatError>;

/// The formats, in the order in which their files are listed.
const FORMATS: [Format; 7] = [
    geojson::files,
    shapefile::files,
    totals_json::files,
    totals_csv::files,
    map::files,
    kml::files,
    field_sheet::files,
];

/// Every file of a plan.
///
/// # Errors
/// When a value does not fit a format's limits.
pub fn files(plan: &Plan) -> Result<Vec<OutputFile>, FormatError> {
    let mut files = Vec::new();
    for format in FORMATS {
        files.extend(format(plan)?);
    }
    Ok(files)
}
