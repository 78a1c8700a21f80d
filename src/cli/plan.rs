//! `landplaster plan`.

use std::path::{Path, PathBuf};

use landplaster::job::Farm;
use landplaster::path_text::shown;
use landplaster::plan::Plan;
use landplaster::report::summary::plan_summary;
use landplaster::work::{Disk, Files, Work};
use landplaster::write::Output;
use landplaster::write::taskdata::TaskReport;

use super::disk::Ours;
use super::failure::Failure;
use super::plan_arguments::{Arguments, of_arguments, of_fields};
use super::working_folder::way_from;
use super::{disk, farm, load, standard_output, start};

/// Plans a job and writes its folder into another.
pub fn write(
    work: &Work,
    files: &dyn Files,
    out: &Path,
) -> Result<(Plan, Output, PathBuf), Failure> {
    let (plan, output) = work.plan(files).map_err(Failure::input)?;
    let folder = disk::replace(out, &plan.settings.job, &output.files, Ours::PLAN)?;
    Ok((plan, output, folder))
}

/// Plans a field and writes its folder, or all fields of a farm.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let mut work = match &arguments.job {
        Some(path) => {
            let text = load::text("job file", path)?;
            if Farm::is_one(&text) {
                return farm::run(path, &text, arguments);
            }
            Work::of_file(path, &text).map_err(Failure::input)?
        }
        None if arguments.boundaries.is_some() => {
            return farm::run(Path::new("command line"), &of_fields(arguments), arguments);
        }
        None if arguments.boundary.is_none() && arguments.samples.is_none() => {
            return Err(start::nothing_named());
        }
        None => of_arguments(arguments)?,
    };
    work.also(&arguments.extras());
    arguments.changes().apply(&mut work.job, &way_from(&work.folder)?);
    let (plan, output, folder) = write(&work, &Disk, &arguments.out)?;
    if arguments.json {
        standard_output::json(&output.totals)
    } else {
        let task_data = output.task_data.iter().flat_map(TaskReport::lines);
        let told: Vec<String> = output.landed.iter().cloned().chain(task_data).collect();
        let names: Vec<&str> = output.files.iter().map(|file| file.name.as_str()).collect();
        standard_output::text(&plan_summary(&plan, &told, shown(&folder), &names))
    }
}
