//! The record of the application: a file with a column, or the task data that came back.

use std::path::{Path, PathBuf};

use landplaster::path_text::shown;
use landplaster::read::{self, ApplicationRecord, AppliedSettings, LoggedQuantity};
use landplaster::reconcile::{Application, needs_swath};
use landplaster::timelog::Log;
use landplaster::units::Length;
use landplaster::warning::Warning;
use landplaster::work::{Disk, task_data};

use super::failure::Failure;
use super::load;

/// The arguments about the record, as typed.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The record of the application: the task data that came back from the machine (its folder or
    /// .zip), or points or polygons (CSV, GeoJSON, shapefile, GeoPackage or KML)
    #[arg(long, value_name = "PATH")]
    pub applied: Option<PathBuf>,
    /// The column with the rate
    #[arg(long, value_name = "COLUMN", conflicts_with = "mass", requires = "applied")]
    rate: Option<String>,
    /// The column with the mass of each row
    #[arg(long, value_name = "COLUMN", requires = "applied")]
    mass: Option<String>,
    /// The unit of that column, if its header has none in brackets: "ton/ac", "lb"
    #[arg(long, requires = "applied")]
    unit: Option<String>,
    /// The column with the distance that each point stands for; without it all stand for as much
    #[arg(long, value_name = "COLUMN", requires = "applied")]
    distance: Option<String>,
    /// The coordinate system of the record, where its file does not say it
    #[arg(long, requires = "applied")]
    crs: Option<String>,
    /// The layer of the record, where its file holds several; of task data the element whose product
    /// it is, such as DET-3
    #[arg(long, value_name = "NAME", requires = "applied")]
    layer: Option<String>,
}

/// A record as read.
pub enum FileRecord {
    None,
    Rows(ApplicationRecord),
    Logs { logs: Vec<Log>, swath: Option<Length> },
}

impl FileRecord {
    /// What there is to lay on the fields.
    pub fn application(&self) -> Application<'_> {
        match self {
            Self::None => Application::Unrecorded,
            Self::Rows(record) => Application::Rows(&record.rows),
            Self::Logs { logs, swath } => Application::Logs { logs, swath: *swath },
        }
    }

    /// How many rows or logs it has.
    pub fn len(&self) -> usize {
        match self {
            Self::None => 0,
            Self::Rows(record) => record.rows.len(),
            Self::Logs { logs, .. } => logs.len(),
        }
    }
}

/// Reads the record; `swath` is the machine file's, for logs that have no width.
pub fn recorded(
    arguments: &Arguments,
    swath: Option<Length>,
) -> Result<(FileRecord, Vec<Warning>), Failure> {
    let Some(path) = &arguments.applied else { return Ok((FileRecord::None, Vec::new())) };
    let Some(files) = task_data(&Disk, "record", path).map_err(Failure::input)? else {
        let read = read::applied(&load::source("record", path)?, &arguments.settings(path)?)
            .map_err(Failure::input)?;
        return Ok((FileRecord::Rows(read.value), read.warnings));
    };
    arguments.none_is_for_tables(path)?;
    let name = shown(path);
    let (logs, warnings) =
        read::logs(&name, &files, arguments.layer.as_deref()).map_err(Failure::input)?;
    if swath.is_none() && needs_swath(&logs) {
        return Err(Failure::Input(format!(
            "{name}: found no working width in the logs or the device description, expected one (entry 67); give --machine, whose swath is then used"
        )));
    }
    Ok((FileRecord::Logs { logs, swath }, warnings))
}

impl Arguments {
    fn settings(&self, path: &Path) -> Result<AppliedSettings, Failure> {
        let logged = match (&self.rate, &self.mass) {
            (Some(rate), _) => LoggedQuantity::Rate(rate.clone()),
            (None, Some(mass)) => LoggedQuantity::Mass(mass.clone()),
            (None, None) => {
                return Err(Failure::Input(format!(
                    "--applied {}: found neither --rate nor --mass, expected one of them; say which column the record has it in",
                    shown(path)
                )));
            }
        };
        Ok(AppliedSettings {
            logged,
            unit: self.unit.clone(),
            distance: self.distance.clone(),
            crs: self.crs.clone(),
            layer: self.layer.clone(),
        })
    }

    /// Task data says itself what it holds, in which unit and where.
    fn none_is_for_tables(&self, path: &Path) -> Result<(), Failure> {
        let given = [
            ("rate", &self.rate),
            ("mass", &self.mass),
            ("unit", &self.unit),
            ("distance", &self.distance),
            ("crs", &self.crs),
        ];
        match given.into_iter().find(|(_, value)| value.is_some()) {
            None => Ok(()),
            Some((name, _)) => Err(Failure::Input(format!(
                "--{name}: {} is task data, which says itself what it holds; leave --{name} out",
                shown(path)
            ))),
        }
    }
}
