//! `landplaster plan` of a farm file: every field that has changed, as many at a time as there are
//! threads.

use std::path::Path;

use indicatif::{ProgressBar, ProgressStyle};
use landplaster::farm::{self, FarmTotals, FieldOutcome, Figures};
use landplaster::units::System;
use landplaster::work::{Disk, FarmWork, FieldWork, Inputs, in_turn, unchanged};

use super::disk::Out;
use super::failure::Failure;
use super::farm_summary;
use super::plan::Arguments;

/// What became of a field.
struct Done {
    figures: Figures,
    /// Whether it was left as it was.
    kept: bool,
}

/// Plans the fields of a farm; those that fail are told at the end.
pub fn run(path: &Path, text: &str, arguments: &Arguments) -> Result<(), Failure> {
    let FarmWork { farm, fields } =
        FarmWork::of_file(path, text, &arguments.extras(), &Disk).map_err(Failure::input)?;
    let out = Out::open(&arguments.out)?;
    let bar = progress(fields.len());
    let done = in_turn(&fields, |field| {
        let done = field.as_ref().map_err(ToString::to_string).and_then(|field| {
            one(field, &out, arguments.fresh, farm.system).map_err(|failure| failure.to_string())
        });
        bar.inc(1);
        done
    });
    bar.finish_and_clear();
    let kept: Vec<bool> = done.iter().map(|done| done.as_ref().is_ok_and(|d| d.kept)).collect();
    let outcomes = farm.jobs.iter().zip(done).map(|(job, done)| FieldOutcome {
        file: job.display().to_string(),
        figures: done.map(|done| done.figures),
    });
    let totals = FarmTotals::new(farm.name.clone(), farm.system, outcomes.collect());
    let files = farm::files(&totals).map_err(|error| Failure::Write(error.to_string()))?;
    let folder = out.replace(&farm.name, &files)?;
    if arguments.json {
        farm_summary::json(&totals)?;
    } else {
        farm_summary::table(&totals, &kept, &arguments.out, &folder)?;
    }
    match farm_summary::failures(&totals) {
        None => Ok(()),
        Some(text) => Err(Failure::Input(text)),
    }
}

/// Plans a field and writes its folder, unless the folder is what that would make again.
fn one(field: &FieldWork, out: &Out, fresh: bool, system: System) -> Result<Done, Failure> {
    let FieldWork { work, name, settings } = field;
    let target = out.settled(name)?;
    let known = (!fresh).then(|| unchanged(&Disk, &target, settings, &work.folder)).flatten();
    if let Some(figures) = known.and_then(|totals| Figures::read(&totals, system).ok()) {
        return Ok(Done { figures, kept: true });
    }
    let mut inputs = Inputs::new(&Disk, &work.folder);
    let prepared = work.prepare_noting(&mut inputs).map_err(Failure::input)?;
    let mut output = prepared.plan().map_err(Failure::input)?.1;
    output.files.push(inputs.record(settings, &output.files).map_err(Failure::input)?);
    let figures =
        Figures::read(&output.totals, system).map_err(|error| Failure::Write(error.to_string()))?;
    out.replace(name, &output.files)?;
    Ok(Done { figures, kept: false })
}

/// A bar on standard error, if that is a terminal.
fn progress(count: usize) -> ProgressBar {
    let style = ProgressStyle::with_template("{bar:40} {pos}/{len} fields, {eta} to go");
    ProgressBar::new(count as u64)
        .with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}
