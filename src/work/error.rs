use std::path::Path;

use super::InTwoFields;

use crate::field::{ExcludeError, KeepOutError, SampleError, SetRateError, SiteError};
use crate::job::JobError;
use crate::landing::LandingError;
use crate::path_text::shown;
use crate::plan::PlanError;
use crate::read::ReadError;
use crate::spreader::constant::LogError;
use crate::spreader::machine::MachineError;
use crate::spreader::pans::PanError;
use crate::write::FormatError;

/// Why a file could not be had.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{place}{reason}")]
pub struct FileError {
    /// What it was for and its path, or nothing yet.
    place: String,
    reason: String,
}

impl FileError {
    /// A reason, with what to do.
    #[must_use]
    pub fn new(reason: &str) -> Self {
        Self { place: String::new(), reason: reason.to_owned() }
    }

    /// The same, of a file that was wanted for something.
    #[must_use]
    pub fn of(self, what: &str, path: &Path) -> Self {
        Self { place: format!("{what} {}: ", shown(path)), ..self }
    }
}

/// Why a job could not be planned: something that was given is at fault.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "each says what is in it")]
pub enum WorkError {
    #[error(transparent)]
    File(#[from] FileError),
    #[error(transparent)]
    Job(#[from] JobError),
    #[error(transparent)]
    Machine(#[from] MachineError),
    #[error(transparent)]
    WeighTests(#[from] LogError),
    #[error(transparent)]
    Pans(#[from] PanError),
    #[error(transparent)]
    Read(#[from] ReadError),
    #[error(transparent)]
    Samples(#[from] SampleError),
    #[error(transparent)]
    Exclude(#[from] ExcludeError),
    #[error(transparent)]
    KeepOut(#[from] KeepOutError),
    #[error(transparent)]
    SetRate(#[from] SetRateError),
    #[error(transparent)]
    Site(#[from] SiteError),
    #[error(transparent)]
    SampleInTwoFields(#[from] InTwoFields),
    #[error(transparent)]
    Plan(#[from] PlanError),
    #[error(
        "{file}: found other names in the column \"{column}\", expected those of the boundaries, {}; correct them, or leave field_column out to go by where samples lie",
        names.join(", ")
    )]
    OtherFields { file: String, column: String, names: Vec<String> },
    #[error(transparent)]
    Landing(#[from] LandingError),
    #[error(transparent)]
    Format(#[from] FormatError),
}
