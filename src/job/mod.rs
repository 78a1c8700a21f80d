//! The job file: one field's work, as written in TOML and as understood.
//!
//! Every setting but the two paths has a default, and everything written is checked here: unknown
//! keys, units, tiers, the numbers of the surface.

mod entry;
mod error;
mod settings;
mod taskdata;

use std::path::PathBuf;

use serde::Deserialize;

pub use entry::{BoundaryEntry, LaboratoryEntry, SamplesEntry};
pub use error::JobError;
pub use taskdata::TaskDataEntry;

use crate::read::CationSettings;
use crate::soil::TierSetting;
use crate::units::{Length, System, Written};

/// A job as written. Paths are relative to the job file.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// What the job and its folder are called; the job file's name when absent.
    pub name: Option<String>,
    /// The units to print in; those that the job is written in when absent.
    pub units: Option<System>,
    /// Where the field's boundary is.
    pub boundary: BoundaryEntry,
    /// Where the samples are.
    pub samples: SamplesEntry,
    /// Where the laboratory's table is, if it is apart.
    pub laboratory: Option<LaboratoryEntry>,
    /// How CEC is summed where the table has none.
    pub cations: Option<CationSettings>,
    /// How the CEC between samples is found.
    #[serde(default)]
    pub surface: SurfaceEntry,
    /// The tiers, from the lowest CEC; common practice when there are none.
    #[serde(default)]
    pub tier: Vec<TierSetting>,
    /// How task data for rate controllers is written; it is not when absent.
    pub taskdata: Option<TaskDataEntry>,
}

/// The surface's settings as written.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurfaceEntry {
    /// The power of the distance; 2 when absent.
    pub power: Option<f64>,
    /// How many nearest samples count, or `"all"`; 12 when absent.
    pub neighbors: Option<NeighborsEntry>,
    /// The distance beyond which samples do not count; none when absent.
    pub radius: Option<Written<Length>>,
    /// The distance between the nodes of the lattice; 10 ft when absent.
    pub grid: Option<Written<Length>>,
}

/// A number of neighbors or `"all"`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NeighborsEntry {
    /// So many.
    Count(usize),
    /// All samples.
    All,
}

impl Job {
    /// Reads a job file's text; `name` is the file's, for messages.
    ///
    /// # Errors
    /// When it is no TOML, a key is unknown or missing, or a value is not what its key takes.
    pub fn read(name: &str, text: &str) -> Result<Self, JobError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        toml::from_str(text).map_err(|error| JobError::toml(name, text, &error))
    }

    /// The job of a boundary and samples, everything else at its default.
    #[must_use]
    pub fn of_files(boundary: PathBuf, samples: PathBuf, laboratory: Option<PathBuf>) -> Self {
        Self {
            name: None,
            units: None,
            boundary: BoundaryEntry::of(boundary),
            samples: SamplesEntry::of(samples),
            laboratory: laboratory.map(LaboratoryEntry::of),
            cations: None,
            surface: SurfaceEntry::default(),
            tier: Vec::new(),
            taskdata: None,
        }
    }
}
