//! A plan as files: one module a format, each from a plan to bytes.

mod farm_csv;
mod farm_json;
mod farm_order_json;
mod geojson;
#[cfg(feature = "geopackage")]
mod geopackage;
mod in_units;
mod kml;
mod landed_svg;
mod landed_tif;
mod landing_json;
mod names;
mod order_csv;
mod order_json;
mod piles;
mod sampling;
mod shapefile;
mod soil_json;
pub mod taskdata;
mod totals_csv;
mod totals_json;

pub use farm_json::farm_totals;
pub use landed_svg::file as landed_picture;
pub use landed_tif::file as landed_tif;
pub use landing_json::{landing as landing_totals, logged as logged_totals};
pub use piles::{PILE_FILES, pile_files, pile_totals};
pub use sampling::{LABORATORY, has_results, is_of_sampling, sampling_files, worth_files};

use crate::farm::FarmTotals;
use crate::plan::Plan;
use crate::report::{self, BesidePlan, ReportError, map_svg};
use crate::totals::Totals;

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
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{file}: {reason}")]
pub struct FormatError {
    /// The file that was being made.
    pub file: &'static str,
    /// What stood in the way.
    pub reason: String,
}

/// The names that this program gives its files: a run replaces these and leaves all others alone.
const NAMES: [&str; 22] = [
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
    "zones.gpkg",
    "sheet.html",
    PILE_FILES[0],
    PILE_FILES[1],
    taskdata::NAMES[0],
    taskdata::NAMES[1],
    taskdata::ARCHIVE,
    "inputs.json",
    "farm.json",
    "farm.csv",
    "farm.html",
];

/// Whether a file in a job's folder is one of this program's; what is in a folder there is named
/// after it and `/`.
#[must_use]
pub fn is_ours(name: &str) -> bool {
    NAMES.contains(&name)
}

/// Whether this program puts files into a folder of this name in a job's folder.
#[must_use]
pub fn is_our_folder(name: &str) -> bool {
    let inside = |file: &&str| file.split_once('/').is_some_and(|(folder, _)| folder == name);
    NAMES.iter().any(inside)
}

type Format = fn(&Plan) -> Result<Vec<OutputFile>, FormatError>;

/// The formats that need nothing but a plan, in the order in which their files are listed.
const FORMATS: [Format; 6] =
    [geojson::files, shapefile::files, totals_csv::files, map, kml::files, piles::files];

/// What a plan is written as.
#[derive(Debug)]
pub struct Output {
    /// The files, in the order in which they are listed.
    pub files: Vec<OutputFile>,
    /// The content of `totals.json`.
    pub totals: Totals,
    /// What is to be told about the task data, if there is any.
    pub task_data: Option<taskdata::TaskReport>,
    /// What is to be told of what lands, if it was reckoned.
    pub landed: Vec<String>,
}

/// What is written of a plan only when it is asked for, and what a plan does not hold.
#[derive(Clone, Debug, Default)]
pub struct Extras {
    /// The field's task for a rate controller.
    pub task_data: Option<taskdata::TaskSettings>,
    /// The map in pixels.
    pub png: bool,
    /// Everything in one GeoPackage.
    #[cfg(feature = "geopackage")]
    pub geopackage: bool,
    /// What the field sheet tells of beside the plan.
    pub sheet: BesidePlan,
}

/// Every file of a plan, with the extras that are asked for.
///
/// # Errors
/// When a value does not fit a format's limits.
pub fn output(plan: &Plan, extras: &Extras) -> Result<Output, FormatError> {
    let mut files = Vec::new();
    for format in FORMATS {
        files.extend(format(plan)?);
    }
    files.push(page("sheet.html", report::field_sheet(plan, &extras.sheet))?);
    if extras.png {
        files.push(page("zones.png", map_svg(plan).and_then(|svg| report::png(&svg)))?);
    }
    #[cfg(feature = "geopackage")]
    if extras.geopackage {
        files.push(geopackage::file(plan)?);
    }
    let task =
        extras.task_data.as_ref().map(|settings| taskdata::files(plan, settings)).transpose()?;
    let (task_files, task_data) = task.unzip();
    let mut totals = totals_json::totals(plan, task_data.as_ref());
    let landing = extras.sheet.landing.as_ref();
    totals.landing = landing.map(|landing| landing_json::landing(plan, landing));
    files.push(totals_json::file(&totals)?);
    files.extend(task_files.into_iter().flatten());
    let landed = landing.map(|landing| report::landing::in_brief(plan, landing));
    Ok(Output { files, totals, task_data, landed: landed.unwrap_or_default() })
}

/// The files of a farm's own folder.
///
/// # Errors
/// When a value does not fit a format's limits.
pub fn farm_files(totals: &FarmTotals) -> Result<Vec<OutputFile>, FormatError> {
    let sheet = page("farm.html", report::farm_sheet(totals))?;
    Ok(vec![farm_json::file(totals)?, farm_csv::file(totals)?, sheet])
}

/// The content of `totals.json` but for task data and what lands.
#[must_use]
pub fn plan_totals(plan: &Plan) -> Totals {
    totals_json::totals(plan, None)
}

fn map(plan: &Plan) -> Result<Vec<OutputFile>, FormatError> {
    Ok(vec![page("zones.svg", map_svg(plan))?])
}

/// What `report` made for people, as a file.
fn page(
    file: &'static str,
    made: Result<impl Into<Vec<u8>>, ReportError>,
) -> Result<OutputFile, FormatError> {
    let made = made.map_err(|error| FormatError { file, reason: error.to_string() })?;
    Ok(OutputFile::new(file, made))
}
