//! `TASKDATA/` and `taskdata.zip`: ISO 11783-10 task data, one task for the field.
//!
//! Rates are DDI 6 of ISO 11783-11, setpoint mass per area, in whole mg/m². Treatment zone 0 is
//! rate 0: it holds outside the field and wherever no zone does.

mod archive;
mod document;
mod elements;
mod name;
mod raster;
mod report;
mod setpoint;
mod settings;
mod treatment;

pub use name::{LONGEST_NAME, Name};
pub use report::{GridReport, TaskReport};
pub use settings::{FINEST_CELL, Form, TaskSettings, Version};

use geo::{Coord, Polygon, Rect};

use super::{FormatError, OutputFile};
use crate::plan::Plan;
use crate::units::Rate;
use raster::Raster;

/// The files of a task, in the folder that holds it.
pub const NAMES: [&str; 2] = ["TASKDATA/TASKDATA.XML", "TASKDATA/GRD00000.bin"];
/// The folder.
const FOLDER: &str = "TASKDATA";
/// The same folder as one file.
pub const ARCHIVE: &str = "taskdata.zip";

/// Rates, and the cells in WGS84 that have them.
pub type RateCells = Vec<(Rate, Polygon<f64>)>;

/// What a task's grid asks for, by the cells of a row that have one rate; none where the form is
/// no grid.
///
/// # Errors
/// When the plan does not fit the format.
pub fn grid_rates(plan: &Plan, settings: &TaskSettings) -> Result<Option<RateCells>, FormatError> {
    let task = treatment::task(plan, settings)?;
    let Some(raster) = task.grid else { return Ok(None) };
    let of_code = |code: i32| {
        let code = usize::try_from(code).ok()?;
        task.treatments.get(code).map(|treatment| treatment.value)
    };
    let grid = &raster.grid;
    let mut found = Vec::new();
    for (row, values) in raster.values.chunks(grid.columns.max(1)).enumerate() {
        let mut column = 0;
        for run in values.chunk_by(|a, b| a == b) {
            let value = run.first().copied().unwrap_or(0);
            let value = if raster.form == Form::RateGrid { Some(value) } else { of_code(value) };
            if let Some(value) = value.filter(|value| *value > 0) {
                let cells = [[column, row], [column + run.len(), row + 1]];
                let [low, high] = cells.map(|[column, row]| Coord {
                    x: grid.corner.x + column as f64 * grid.cell.x,
                    y: grid.corner.y + row as f64 * grid.cell.y,
                });
                found.push((setpoint::rate(value), Rect::new(low, high).to_polygon()));
            }
            column += run.len();
        }
    }
    Ok(Some(found))
}

/// The files of a task, and what is to be told about it.
pub(super) fn files(
    plan: &Plan,
    settings: &TaskSettings,
) -> Result<(Vec<OutputFile>, TaskReport), FormatError> {
    let task = treatment::task(plan, settings)?;
    let mut members = vec![("TASKDATA.XML".to_owned(), document::text(plan, settings, &task)?)];
    members.extend(task.grid.as_ref().map(|grid| (Raster::FILE.to_owned(), grid.bytes())));
    let archive = archive::bytes(&members).map_err(|error| fault(error.to_string()))?;
    let mut files: Vec<OutputFile> = members
        .into_iter()
        .map(|(name, bytes)| OutputFile::new(&format!("{FOLDER}/{name}"), bytes))
        .collect();
    files.push(OutputFile::new(ARCHIVE, archive));
    Ok((files, report::of(plan, settings, &task)))
}

fn fault(reason: String) -> FormatError {
    FormatError { file: "TASKDATA/TASKDATA.XML", reason }
}
