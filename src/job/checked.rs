use super::{Job, JobError};
use crate::plan::Settings;

/// What a job comes to as far as its spreader's file has no part in it: what has is checked when the
/// field is planned.
pub(super) fn checked(job: &Job, file: &str, name: &str) -> Result<Settings, JobError> {
    let order = match &job.order {
        Some(order) if job.spreader.is_some() => Some(order.without_spreader(file)?),
        order => order.clone(),
    };
    Job { order, ..job.clone() }.settings(file, name, None)
}
