//! `landplaster plan` of a farm file: every field that has changed, as many at a time as there are
//! threads.

use std::path::Path;

use indicatif::{ProgressBar, ProgressStyle};
use landplaster::farm::{FarmTotals, FieldOutcome, Figures};
use landplaster::report::summary::{failures, farm_summary};
use landplaster::units::System;
use landplaster::work::{Disk, FarmWork, FieldWork, Inputs, in_turn, unchanged};
use landplaster::write::{farm_files, farm_totals};

use super::disk::Out;
use super::failure::Failure;
use super::guard::guarded;
use super::plan::Arguments;
use super::print;

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
    let done = each(&fields, |field| {
        let field = field.as_ref().map_err(Failure::input);
        let done = field.and_then(|field| one(field, &out, arguments.fresh, farm.system));
        bar.inc(1);
        done
    });
    bar.finish_and_clear();
    let kept: Vec<bool> = done.iter().map(|done| done.as_ref().is_ok_and(|d| d.kept)).collect();
    let inputs_alone = done.iter().all(|done| matches!(done, Ok(_) | Err(Failure::Input(_))));
    let outcomes = farm.jobs.iter().zip(done).map(|(job, done)| FieldOutcome {
        file: job.display().to_string(),
        figures: done.map(|done| done.figures).map_err(|failure| failure.to_string()),
    });
    let totals = FarmTotals::new(farm.name.clone(), farm.system, outcomes.collect());
    let files = farm_files(&totals).map_err(|error| Failure::Write(error.to_string()))?;
    let folder = out.replace(&farm.name, &files)?;
    if arguments.json {
        print::json(&farm_totals(&totals))?;
    } else {
        let (out, folder) = (arguments.out.display(), folder.display());
        print::text(&farm_summary(&totals, &kept, out, folder))?;
    }
    match failures(&totals) {
        None => Ok(()),
        Some(text) if inputs_alone => Err(Failure::Input(text)),
        Some(text) => Err(Failure::Write(text)),
    }
}

/// What becomes of each field; a panic in one is its failure, and the others go on.
fn each<F: Sync, T: Send>(
    fields: &[F],
    one: impl Fn(&F) -> Result<T, Failure> + Sync,
) -> Vec<Result<T, Failure>> {
    in_turn(fields, |field| guarded(|| one(field)))
}

/// Plans a field and writes its folder, unless the folder is what that would make again.
fn one(field: &FieldWork, out: &Out, fresh: bool, system: System) -> Result<Done, Failure> {
    let FieldWork { work, name, settings } = field;
    let target = out.settled(name)?;
    let known = (!fresh).then(|| unchanged(&Disk, &target, settings, &work.folder)).flatten();
    if let Some(totals) = known {
        return Ok(Done { figures: Figures::of(&totals, system), kept: true });
    }
    let mut inputs = Inputs::new(&Disk, &work.folder);
    let prepared = work.prepare_noting(&mut inputs).map_err(Failure::input)?;
    let mut output = prepared.plan().map_err(Failure::input)?.1;
    output.files.push(inputs.record(settings, &output.files).map_err(Failure::input)?);
    out.replace(name, &output.files)?;
    Ok(Done { figures: Figures::of(&output.totals, system), kept: false })
}

/// A bar on standard error, if that is a terminal.
fn progress(count: usize) -> ProgressBar {
    let style = ProgressStyle::with_template("{bar:40} {pos}/{len} fields, {eta} to go");
    ProgressBar::new(count as u64)
        .with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_in_one_stops_no_other() {
        let numbers: Vec<u32> = (0..100).collect();
        let done = each(&numbers, |number| {
            assert!(number % 10 != 3, "no {number}");
            Ok(*number)
        });
        for (number, done) in numbers.iter().zip(done) {
            match done {
                Ok(done) => assert!(number % 10 != 3 && done == *number),
                Err(failure) => {
                    assert!(number % 10 == 3 && matches!(failure, Failure::Ours(_)), "{failure}");
                }
            }
        }
    }
}
