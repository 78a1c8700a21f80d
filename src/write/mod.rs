//! A plan as files: one module a format, each from a plan to bytes.

mod geojson;
mod map;
mod order_csv;
mod order_json;
mod pile_sheet;
mod piles;
mod shapefile;
mod soil_json;
pub mod taskdata;
mod totals_csv;
mod totals_json;
mod zone_row;

pub(crate) use order_json::HOUR_DECIMALS;
pub use pile_sheet::{pile_sheet, pile_summary};
pub use piles::{pile_files, pile_totals};
pub(crate) use zone_row::{RATE_DECIMALS, amount_names, rate_unit};

use serde_json::Value;

use crate::plan::Plan;

/// A file to be written into the job's folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutputFile {
    /// Its name, or that of a folder in the job's folder, `/` and its name.
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

/// The names that this program gives its files and folders: a run replaces them and leaves all
/// others alone.
const NAMES: [&str; 16] = [
    "zones.geojson",
    "zones.shp",
    "zones.shx",
    "zones.dbf",
    "zones.prj",
    "zones.cpg",
    "totals.json",
    "totals.csv",
    "zones.svg",
    "piles.geojson",
    "pile_area.geojson",
    taskdata::FOLDER,
    taskdata::ARCHIVE,
    "inputs.json",
    "farm.json",
    "farm.csv",
];

/// Whether a file or folder in a job's folder is one of this program's.
#[must_use]
pub fn is_ours(name: &str) -> bool {
    NAMES.contains(&name)
}

type Format = fn(&Plan) -> Result<Vec<OutputFile>, FormatError>;

/// The formats that need nothing but a plan, in the order in which their files are listed.
const FORMATS: [Format; 5] =
    [geojson::files, shapefile::files, totals_csv::files, map::files, piles::files];

/// What a plan is written as.
#[derive(Debug)]
pub struct Output {
    /// The files, in the order in which they are listed.
    pub files: Vec<OutputFile>,
    /// The content of `totals.json`.
    pub totals: Value,
    /// What is to be told about the task data, if there is any.
    pub task_data: Option<taskdata::Report>,
}

/// Every file of a plan, with task data if it is set.
///
/// # Errors
/// When a value does not fit a format's limits.
pub fn output(plan: &Plan, task_data: Option<&taskdata::Settings>) -> Result<Output, FormatError> {
    let mut files = Vec::new();
    for format in FORMATS {
        files.extend(format(plan)?);
    }
    let task = task_data.map(|settings| taskdata::files(plan, settings)).transpose()?;
    let (task_files, task_data) = task.unzip();
    let totals = totals_json::totals(plan, task_data.as_ref());
    files.push(totals_json::file(&totals)?);
    files.extend(task_files.into_iter().flatten());
    Ok(Output { files, totals, task_data })
}
