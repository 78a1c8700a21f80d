//! What a job writes, held against what makes sense.

use std::ops::RangeInclusive;

use super::JobError;
use crate::faults::Faults;
use crate::units::{Quantity, Written};

/// A quantity, if it is written and lies in its range.
pub(super) fn within<Q: Quantity + PartialOrd>(
    file: &str,
    setting: &str,
    written: Option<Written<Q>>,
    range: RangeInclusive<Q>,
    expected: &str,
) -> Result<Option<Q>, JobError> {
    match written {
        Some(Written { value, system }) if !range.contains(&value) => {
            Err(fault(file, setting, value.show(system, 2), expected))
        }
        written => Ok(written.map(|written| written.value)),
    }
}

/// A setting that is not as expected.
pub(super) fn fault(
    file: &str,
    setting: &str,
    found: impl Into<String>,
    expected: impl Into<String>,
) -> JobError {
    JobError::Setting {
        file: file.to_owned(),
        setting: setting.to_owned(),
        found: found.into(),
        expected: expected.into(),
    }
}

/// A setting that is of no use without another one, which is not there.
pub(super) fn lacks(
    file: &str,
    setting: &str,
    lacking: &'static str,
    expected: impl Into<String>,
) -> JobError {
    let (file, setting, expected) = (file.to_owned(), setting.to_owned(), expected.into());
    JobError::Lacks { file, setting, lacking, expected }
}

/// Settings that have no meaning beside another one.
pub(super) struct NotApplied<'a> {
    /// The job file.
    pub file: &'a str,
    /// The other one, such as `with clean_up = false`.
    pub when: &'static str,
}

impl NotApplied<'_> {
    /// Refuses those of them that are written.
    pub fn check<const N: usize>(self, written: [(&'static str, bool); N]) -> Result<(), JobError> {
        let Self { file, when } = self;
        let mut faults = Faults::default();
        for (setting, _) in written.into_iter().filter(|(_, is_written)| *is_written) {
            faults.push(JobError::NotApplied { file: file.to_owned(), setting, when });
        }
        faults.all()
    }
}
