//! What a job writes, held against what makes sense.

use std::ops::RangeInclusive;

use super::JobError;
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

/// Settings that have no meaning beside another one.
pub(super) struct NotApplied<'a> {
    /// The job file.
    pub file: &'a str,
    /// The other one, such as `with clean_up = false`.
    pub when: &'static str,
}

impl NotApplied<'_> {
    /// Refuses the first of them that is written.
    pub fn check<const N: usize>(self, written: [(&'static str, bool); N]) -> Result<(), JobError> {
        let Self { file, when } = self;
        match written.into_iter().find(|(_, is_written)| *is_written) {
            Some((setting, _)) => {
                Err(JobError::NotApplied { file: file.to_owned(), setting, when })
            }
            None => Ok(()),
        }
    }
}
