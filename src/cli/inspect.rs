//! `landplaster inspect`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use landplaster::inspect::{Inspection, RateSetting, archive, folder, zones};
use landplaster::path_text::shown;
use landplaster::read::taskdata::{self, Files, MAIN};
use landplaster::report::inspection;
use landplaster::work::{Disk, task_files};
use landplaster::write::PILE_FILES;
use serde_json::Value;

use super::failure::Failure;
use super::{load, standard_output};

/// What was typed.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Zones as .geojson, .shp, .gpkg, .kml or zipped shapefile, task data as folder, TASKDATA.XML or
    /// .zip, or a folder with some of these
    #[arg(value_name = "PATH")]
    path: PathBuf,
    /// The attribute that holds the rates, if it is not called "rate"
    #[arg(long, value_name = "COLUMN")]
    rate: Option<String>,
    /// The unit of the rates, where the file does not say it, such as ton/ac
    #[arg(long, value_name = "UNIT")]
    unit: Option<String>,
    /// The layer, folder or shapefile to look at, where the file holds several
    #[arg(long, value_name = "NAME")]
    layer: Option<String>,
    /// Print JSON instead of tables
    #[arg(long)]
    json: bool,
}

/// Says what a controller would see; the exit code is 1 when something has a problem with its format.
pub fn run(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let setting = RateSetting {
        column: arguments.rate.clone(),
        unit: arguments.unit.clone(),
        layer: arguments.layer.clone(),
    };
    let mut reports = Vec::new();
    for path in inputs(&arguments.path)? {
        reports.push(look(&path, &setting)?);
    }
    if arguments.json {
        standard_output::json(&reports.iter().map(Inspection::json).collect::<Value>())?;
    } else {
        let texts: Vec<String> =
            reports.iter().map(|report| inspection(report).join("\n")).collect();
        standard_output::text(&format!("{}\n", texts.join("\n\n")))?;
    }
    let clean = reports.iter().all(|report| report.departures.is_empty());
    Ok(if clean { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn look(path: &Path, setting: &RateSetting) -> Result<Inspection, Failure> {
    let name = shown(path);
    if path.is_dir() {
        return folder(&name, &files(path)?).map_err(Failure::input);
    }
    if load::name(path).eq_ignore_ascii_case(MAIN) {
        let parent = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        return folder(&name, &files(parent)?).map_err(Failure::input);
    }
    if ends_in(path, &["zip"]) {
        let bytes = load::bytes("task data", path)?;
        if taskdata::is_in(&bytes) {
            return archive(&name, &bytes).map_err(Failure::input);
        }
    }
    zones(&load::source("zones", path)?, setting).map_err(Failure::input)
}

/// What there is to look at: the path itself, or in a folder that is no task data everything that
/// can be.
fn inputs(path: &Path) -> Result<Vec<PathBuf>, Failure> {
    if !path.is_dir() || is_task_data(path) {
        return Ok(vec![path.to_owned()]);
    }
    let entries = fs::read_dir(path).map_err(|error| unreadable(path, &error))?;
    let paths: Vec<PathBuf> =
        entries.filter_map(|entry| entry.ok().map(|entry| entry.path())).collect();
    let known = |endings: &[&str]| -> Vec<PathBuf> {
        let is_one = |inner: &&PathBuf| {
            if inner.is_dir() { is_task_data(inner) } else { ends_in(inner, endings) }
        };
        let is_pile = |inner: &&PathBuf| PILE_FILES.contains(&load::name(inner).as_str());
        paths.iter().filter(is_one).filter(|inner| !is_pile(inner)).cloned().collect()
    };
    let mut found = known(&["geojson", "shp", "zip"]);
    // A plan's KML and GeoPackage say once more what its other files say.
    if found.is_empty() {
        found = known(&["gpkg", "kml", "kmz"]);
    }
    found.sort();
    if found.is_empty() {
        let place = shown(path);
        return Err(Failure::Input(format!(
            "{place}: found nothing to look at, expected .geojson, .shp, .gpkg, .kml, .zip or a folder with {MAIN}"
        )));
    }
    Ok(found)
}

fn is_task_data(folder: &Path) -> bool {
    let Ok(entries) = fs::read_dir(folder) else { return false };
    entries.flatten().any(|entry| entry.file_name().to_string_lossy().eq_ignore_ascii_case(MAIN))
}

fn ends_in(path: &Path, extensions: &[&str]) -> bool {
    path.extension().is_some_and(|ending| extensions.iter().any(|e| ending.eq_ignore_ascii_case(e)))
}

fn files(folder: &Path) -> Result<Files, Failure> {
    task_files(&Disk, "task data", folder).map_err(Failure::input)
}

fn unreadable(path: &Path, error: &std::io::Error) -> Failure {
    Failure::Input(format!("{}: cannot be read ({error})", shown(path)))
}
