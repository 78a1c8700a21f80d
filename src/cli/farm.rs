//! `landplaster plan` of a farm file: every field that has changed, as many at a time as there are
//! threads.

use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressStyle};
use landplaster::farm::{FarmTotals, FieldMap, FieldOutcome, Figures};
use landplaster::path_text::shown;
use landplaster::read::{self, Source};
use landplaster::report::summary::{failures, farm_summary};
use landplaster::totals::Totals;
use landplaster::units::System;
use landplaster::work::{Disk, FarmWork, FieldWork, Files, Inputs, in_turn, unchanged};
use landplaster::write::{farm_files, farm_totals};

use super::disk::OutputFolder;
use super::failure::Failure;
use super::guard::guarded;
use super::plan_arguments::Arguments;
use super::standard_output;
use super::working_folder::way_from;

/// The file that a field's zones are read from again.
const ZONES: &str = "zones.geojson";

/// What became of a field.
struct Done {
    figures: Figures,
    map: FieldMap,
    /// Whether it was left as it was.
    kept: bool,
}

/// A farm whose folders are written.
pub struct WrittenFarm {
    /// Its figures.
    pub totals: FarmTotals,
    /// Whether each field was left as it was.
    pub kept: Vec<bool>,
    /// The farm's own folder.
    pub folder: PathBuf,
    /// Whether, of what failed, only the input is at fault.
    pub inputs_alone: bool,
}

/// Plans the fields of a farm; those that fail are told at the end.
pub fn run(path: &Path, text: &str, arguments: &Arguments) -> Result<(), Failure> {
    let mut work =
        FarmWork::of_file(path, text, &arguments.extras(), &Disk).map_err(Failure::input)?;
    let (changes, here) = (arguments.changes(), way_from(path.parent().unwrap_or(Path::new("")))?);
    for field in work.fields.iter_mut().filter_map(|(_, field)| field.as_mut().ok()) {
        field.change(&changes, &here);
    }
    let bar = progress(work.fields.len());
    let written = write(work, &Disk, &arguments.out, arguments.fresh, || bar.inc(1));
    bar.finish_and_clear();
    let WrittenFarm { totals, kept, folder, inputs_alone } = written?;
    if arguments.json {
        standard_output::json(&farm_totals(&totals))?;
    } else {
        let (out, folder) = (shown(&arguments.out), shown(&folder));
        standard_output::text(&farm_summary(&totals, &kept, out, folder))?;
    }
    match failures(&totals) {
        None => Ok(()),
        Some(text) if inputs_alone => Err(Failure::Input(text)),
        Some(text) => Err(Failure::Write(text)),
    }
}

/// Plans the fields of a farm and writes their folders and the farm's own.
pub fn write(
    work: FarmWork,
    files: &dyn Files,
    out: &Path,
    fresh: bool,
    one_done: impl Fn() + Sync,
) -> Result<WrittenFarm, Failure> {
    let FarmWork { farm, fields, unmet } = work;
    let out = OutputFolder::open(out)?;
    let done = each(&fields, |(_, field)| {
        let field = field.as_ref().map_err(Failure::input);
        let done = field.and_then(|field| one(field, files, &out, fresh, farm.system));
        one_done();
        done
    });
    let kept: Vec<bool> = done.iter().map(|done| done.as_ref().is_ok_and(|d| d.kept)).collect();
    let inputs_alone = done.iter().all(|done| matches!(done, Ok(_) | Err(Failure::Input(_))));
    let outcomes = fields.iter().zip(done).map(|((file, _), done)| {
        let file = file.clone();
        match done {
            Ok(Done { figures, map, .. }) => FieldOutcome { file, figures: Ok(figures), map },
            Err(failure) => {
                let figures = Err(failure.to_string());
                FieldOutcome { file, figures, map: FieldMap::default() }
            }
        }
    });
    let mut totals = FarmTotals::new(farm.name.clone(), farm.system, outcomes.collect());
    totals.unmet = unmet;
    let own = farm_files(&totals).map_err(|error| Failure::Write(error.to_string()))?;
    let folder = out.replace(&farm.name, &own)?;
    Ok(WrittenFarm { totals, kept, folder, inputs_alone })
}

/// What becomes of each field; a panic in one is its failure, and the others go on.
fn each<F: Sync, T: Send>(
    fields: &[F],
    one: impl Fn(&F) -> Result<T, Failure> + Sync,
) -> Vec<Result<T, Failure>> {
    in_turn(fields, |field| guarded(|| one(field)))
}

/// Plans a field and writes its folder, unless the folder is what that would make again.
fn one(
    field: &FieldWork,
    files: &dyn Files,
    out: &OutputFolder,
    fresh: bool,
    system: System,
) -> Result<Done, Failure> {
    let FieldWork { work, name, settings } = field;
    let target = out.settled(name)?;
    let known = (!fresh).then(|| unchanged(files, &target, settings, &work.folder)).flatten();
    if let Some(totals) = known {
        let zones = Disk.bytes(&target.join(ZONES)).map_err(Failure::input)?;
        let map = field_map(zones, &totals, system)?;
        return Ok(Done { figures: Figures::of(&totals, system), map, kept: true });
    }
    let mut inputs = Inputs::new(files, &work.folder);
    let prepared = work.prepare_noting(&mut inputs).map_err(Failure::input)?;
    let mut output = prepared.plan().map_err(Failure::input)?.1;
    output.files.push(inputs.record(settings, &output.files).map_err(Failure::input)?);
    out.replace(name, &output.files)?;
    let zones = output.files.into_iter().find(|file| file.name == ZONES);
    let map = field_map(zones.map(|file| file.bytes).unwrap_or_default(), &output.totals, system)?;
    Ok(Done { figures: Figures::of(&output.totals, system), map, kept: false })
}

/// What the farm's map shows of a field, from the zones as they are written.
fn field_map(zones: Vec<u8>, totals: &Totals, system: System) -> Result<FieldMap, Failure> {
    let source = Source { name: ZONES.to_owned(), bytes: zones, ..Source::default() };
    let zones = read::zones(&source).map_err(Failure::input)?;
    let zones = zones.into_iter().map(|zone| (zone.label, zone.rate, zone.polygons));
    Ok(FieldMap::new(zones, totals, system))
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
