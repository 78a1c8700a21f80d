//! `landplaster plan` of a farm file: every field that has changed, as many at a time as there are
//! threads.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use indicatif::{ProgressBar, ProgressStyle};
use landplaster::farm::{self, FarmTotals, FieldOutcome, Figures};
use landplaster::job::Farm;
use landplaster::units::System;
use landplaster::write::Output;

use super::disk::Out;
use super::failure::Failure;
use super::inputs::{Inputs, unchanged};
use super::plan::{Arguments, Extra, Work, make};
use super::{farm_summary, load};

/// A job of the farm, ready to be planned.
struct FieldWork {
    work: Work,
    /// What it is called.
    name: String,
    /// Everything that is set for it.
    settings: String,
}

/// What became of a field.
struct Done {
    figures: Figures,
    /// Whether it was left as it was.
    kept: bool,
}

/// Plans the fields of a farm; those that fail are told at the end.
pub fn run(path: &Path, text: &str, arguments: &Arguments) -> Result<(), Failure> {
    let farm = Farm::read(&path.display().to_string(), text).map_err(Failure::input)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let fields: Vec<_> =
        farm.jobs.iter().map(|job| field_work(&farm, folder, job, &arguments.also)).collect();
    let names: Vec<(&str, &str)> = (fields.iter().flatten())
        .map(|field| (field.work.file.as_str(), field.name.as_str()))
        .collect();
    farm.distinct(&names).map_err(Failure::input)?;
    let out = Out::open(&arguments.out)?;
    let bar = progress(fields.len());
    let done = in_turn(fields.len(), |number| {
        let field = fields.get(number)?;
        let done = field.as_ref().map_err(ToString::to_string).and_then(|field| {
            one(field, &out, arguments.fresh, farm.system).map_err(|failure| failure.to_string())
        });
        bar.inc(1);
        Some(done)
    });
    bar.finish_and_clear();
    let done: Vec<Result<Done, String>> = done.into_iter().flatten().collect();
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

fn field_work(
    farm: &Farm,
    folder: &Path,
    path: &PathBuf,
    also: &[Extra],
) -> Result<FieldWork, Failure> {
    let place = folder.join(path);
    let (file, stem) = (place.display().to_string(), load::stem(path));
    let text = load::text("job file", &place)?;
    let own = farm.job(path, &file, &text, &stem).map_err(Failure::input)?;
    let name = own.job.name.clone().unwrap_or_else(|| stem.clone());
    let mut work = Work { job: own.job, file, name: stem, folder: folder.to_owned(), extras: Vec::new() };
    work.also(also);
    Ok(FieldWork { work, name, settings: format!("{}\nalso {also:?}", own.written) })
}

/// Plans a field and writes its folder, unless the folder is what that would make again.
fn one(field: &FieldWork, out: &Out, fresh: bool, system: System) -> Result<Done, Failure> {
    let FieldWork { work, name, settings } = field;
    let target = out.settled(name)?;
    let known = (!fresh).then(|| unchanged(&target, settings, &work.folder)).flatten();
    if let Some(figures) = known.and_then(|totals| Figures::read(&totals, system).ok()) {
        return Ok(Done { figures, kept: true });
    }
    let mut inputs = Inputs::new(&work.folder);
    let Output { mut files, totals, .. } = make(work, &mut inputs)?.1;
    files.push(inputs.record(settings, &files)?);
    let figures =
        Figures::read(&totals, system).map_err(|error| Failure::Write(error.to_string()))?;
    out.replace(name, &files)?;
    Ok(Done { figures, kept: false })
}

/// Does `one` for each number up to `count`, on all threads, and gives what it gave in order.
///
/// A thread takes a number when it is done with the one before. So no more fields are in memory than
/// there are threads; as the items of a parallel iterator, they would also be begun by threads that
/// wait for a part of another field, one upon the other.
fn in_turn<T: Send>(count: usize, one: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let done = rayon::broadcast(|_| {
        let numbers = std::iter::repeat_with(|| next.fetch_add(1, Ordering::Relaxed));
        numbers.take_while(|number| *number < count).map(|number| (number, one(number))).collect()
    });
    let mut done: Vec<(usize, T)> = done.into_iter().flat_map(|each: Vec<_>| each).collect();
    done.sort_by_key(|(number, _)| *number);
    done.into_iter().map(|(_, what)| what).collect()
}

/// A bar on standard error, if that is a terminal.
fn progress(count: usize) -> ProgressBar {
    let style = ProgressStyle::with_template("{bar:40} {pos}/{len} fields, {eta} to go");
    ProgressBar::new(count as u64)
        .with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}

#[cfg(test)]
mod tests {
    use super::in_turn;

    #[test]
    fn everything_is_done_once_and_in_order() {
        assert_eq!(in_turn(100, |number| number * 2), (0..200).step_by(2).collect::<Vec<_>>());
        assert!(in_turn(0, |number| number).is_empty());
    }
}
