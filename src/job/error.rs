use crate::soil::TierError;
use crate::surface::SurfaceError;
use crate::toml_fault;

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
    /// A setting is out of range or lacks another one.
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
        "{file}, name: found {name:?}, expected a name that a folder can have: at most 250 bytes, no / or \\ and not . or .."
    )]
    Name {
        /// The job file.
        file: String,
        /// The name.
        name: String,
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
}

impl JobError {
    /// Puts a TOML fault on its line.
    pub(super) fn toml(file: &str, text: &str, error: &toml::de::Error) -> Self {
        let (line, reason) = toml_fault::told(text, error);
        Self::Line { file: file.to_owned(), line, reason }
    }
}
