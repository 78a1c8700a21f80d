use crate::faults::{self, fault};
use crate::soil::TierError;
use crate::surface::SurfaceError;
use crate::toml_fault::TomlFault;

/// What is wrong with a job file, with its name, the line, and what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum JobError {
    /// It cannot be read as a job.
    #[error("{file}, line {line}: {reason}")]
    Line {
        /// The job file.
        file: String,
        /// The line, from 1.
        line: usize,
        /// What was found and expected.
        reason: String,
    },
    /// Some quantities are in US customary units, some in metric ones.
    #[error(
        "{file}: found quantities in both US customary and metric units; add units = \"us\" or units = \"metric\" to say which to print in"
    )]
    MixedUnits {
        /// The job file.
        file: String,
    },
    /// A setting is out of range.
    #[error("{file}, {setting}: found {found}, expected {expected}")]
    Setting {
        /// The job file.
        file: String,
        /// The setting's key.
        setting: String,
        /// What was found.
        found: String,
        /// What was expected.
        expected: String,
    },
    /// A setting lacks another one.
    #[error("{file}, {setting}: found no {lacking}, expected {expected}")]
    Lacks {
        /// The job file.
        file: String,
        /// The setting's key.
        setting: String,
        /// What is not there.
        lacking: &'static str,
        /// What was expected.
        expected: String,
    },
    /// A setting has no meaning beside another one.
    #[error("{file}, {setting}: found a setting that does not apply {when}; remove it")]
    NotApplied {
        /// The job file.
        file: String,
        /// The setting's key.
        setting: &'static str,
        /// The other one.
        when: &'static str,
    },
    /// The name cannot be a folder's.
    #[error(
        "{file}, name: found {name:?}, {why}; expected a name that a folder can have on every system"
    )]
    Name {
        /// The job file.
        file: String,
        /// The name.
        name: String,
        /// Why not.
        why: &'static str,
    },
    /// Two jobs of a farm, or a job and the farm, would write the same folder.
    #[error(
        "{first} and {second}: found the name {name:?} twice, expected each name once, as each has a folder of that name; set another name in one of them"
    )]
    SameName {
        /// The one's file.
        first: String,
        /// The other's.
        second: String,
        /// The name.
        name: String,
    },
    /// The tiers do not cover every CEC once.
    #[error("{file}, {error}")]
    Tiers {
        /// The job file.
        file: String,
        /// What is wrong with them.
        error: TierError,
    },
    /// The surface's settings make no surface.
    #[error("{file}, [surface] {error}")]
    Surface {
        /// The job file.
        file: String,
        /// What is wrong with them.
        error: SurfaceError,
    },
    /// Several faults, each told.
    #[error("{}", faults::lines(.0))]
    Several(Vec<JobError>),
}

fault!(JobError::Several);

impl JobError {
    /// Faults of the TOML, each on its line.
    pub(super) fn toml(file: &str, faults: Vec<TomlFault>) -> Vec<Self> {
        let line = |TomlFault { line, reason }| Self::Line { file: file.to_owned(), line, reason };
        faults.into_iter().map(line).collect()
    }

    /// One error for all of some faults.
    pub(super) fn of(mut all: Vec<Self>) -> Self {
        match all.pop() {
            Some(only) if all.is_empty() => only,
            last => Self::Several(all.into_iter().chain(last).collect()),
        }
    }

    /// The key at the top of the file that the fault is in; none where it is in no one key alone.
    pub(super) fn key(&self) -> Option<&str> {
        let setting = match self {
            Self::Setting { setting, .. } | Self::Lacks { setting, .. } => setting.as_str(),
            Self::NotApplied { setting, .. } => setting,
            Self::Name { .. } => "name",
            Self::Tiers { .. } => "tier",
            Self::Surface { .. } => "surface",
            Self::Line { .. }
            | Self::MixedUnits { .. }
            | Self::SameName { .. }
            | Self::Several(_) => {
                return None;
            }
        };
        let start = setting.trim_start_matches('[');
        start.split(|c: char| !(c.is_alphanumeric() || c == '_')).next()
    }
}
