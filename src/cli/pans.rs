//! `landplaster pans` and `landplaster pans compare`.

use std::path::{Path, PathBuf};

use landplaster::path_text::shown;
use landplaster::report::charts::{cv_against_swath, side_by_side, single_pass};
use landplaster::report::{ReportError, comparison_sheet, pan_sheet, pan_table, png, swath_table};
use landplaster::spreader::pans::{DrivingPattern, PanReport, compare, read, report};
use landplaster::units::{Quantity, Share, Written};

use super::failure::Failure;
use super::{load, saving, standard_output};

/// The arguments as typed.
#[derive(Debug, clap::Args)]
#[command(args_conflicts_with_subcommands = true, arg_required_else_help = true)]
pub struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
    /// Catch-pan tests (CSV)
    #[arg(required = true)]
    tests: Vec<PathBuf>,
    #[command(flatten)]
    options: Options,
}

#[derive(Debug, clap::Subcommand)]
enum Command {
    /// Put two runs side by side
    Compare {
        /// The first catch-pan test (CSV)
        a: PathBuf,
        /// The second
        b: PathBuf,
        #[command(flatten)]
        options: Options,
    },
}

#[derive(Debug, clap::Args)]
struct Options {
    /// The CV limit
    #[arg(long, default_value = "15 %")]
    limit: String,
    /// The way of driving that the swath is chosen for
    #[arg(long, value_enum, default_value = "back-and-forth")]
    driving: Way,
    /// Folder for the sheets, tables and pictures
    #[arg(long)]
    out: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Way {
    /// Neighboring passes in opposite directions
    BackAndForth,
    /// Round and round, neighboring passes in one direction
    Race,
}

type Files = Vec<(String, Vec<u8>)>;

/// Prints the sheets of the tests, and writes them with their pictures.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let mut files = Files::new();
    let (sheets, options) = match &arguments.command {
        Some(Command::Compare { a, b, options }) => {
            (comparison(a, b, options, &mut files)?, options)
        }
        None => {
            let options = &arguments.options;
            let sheets = arguments.tests.iter().map(|path| test(path, options, &mut files));
            (sheets.collect::<Result<Vec<_>, _>>()?.join("\n"), options)
        }
    };
    if let Some(folder) = &options.out {
        distinct(&files)?;
        saving::all(folder, &files)?;
    }
    standard_output::text(&sheets)
}

fn read_report(path: &Path, options: &Options) -> Result<PanReport, Failure> {
    let limit = Written::<Share>::read(&options.limit)
        .map_err(|error| Failure::Input(format!("--limit: {error}")))?;
    if limit.value.si() <= 0.0 {
        let found = &options.limit;
        return Err(Failure::Input(format!(
            "--limit: found {found}, expected more than zero; try \"15 %\""
        )));
    }
    let place = shown(path);
    let test = read(&place, &load::text("catch-pan test", path)?).map_err(Failure::input)?;
    let driving = match options.driving {
        Way::BackAndForth => DrivingPattern::BackAndForth,
        Way::Race => DrivingPattern::Race,
    };
    let mut report = report(test, limit.value, driving);
    report.test.name = load::name(path);
    Ok(report)
}

/// Two tests of one file name, from two folders, would write over each other.
fn distinct(files: &Files) -> Result<(), Failure> {
    let mut seen = std::collections::BTreeSet::new();
    match files.iter().find(|(name, _)| !seen.insert(name)) {
        None => Ok(()),
        Some((twice, _)) => Err(Failure::Input(format!(
            "found two tests that would both write {twice}, expected files of different names; \
             rename one"
        ))),
    }
}

fn picture(
    files: &mut Files,
    name: &str,
    options: &Options,
    svg: Result<String, ReportError>,
) -> Result<(), Failure> {
    if options.out.is_some() {
        let svg = svg.map_err(Failure::input)?;
        files.push((format!("{name}.png"), png(&svg).map_err(Failure::input)?));
        files.push((format!("{name}.svg"), svg.into_bytes()));
    }
    Ok(())
}

fn test(path: &Path, options: &Options, files: &mut Files) -> Result<String, Failure> {
    let report = read_report(path, options)?;
    let stem = load::stem(path);
    let sheet = pan_sheet(&report);
    files.push((format!("{stem}.txt"), sheet.clone().into()));
    files.push((format!("{stem}-pattern.csv"), pan_table(&report).csv().into()));
    files.push((format!("{stem}-swaths.csv"), swath_table(&report).csv().into()));
    picture(files, &format!("{stem}-pattern"), options, single_pass(&report))?;
    picture(files, &format!("{stem}-cv"), options, cv_against_swath(&report))?;
    Ok(sheet)
}

fn comparison(a: &Path, b: &Path, options: &Options, files: &mut Files) -> Result<String, Failure> {
    let (a, b) = (read_report(a, options)?, read_report(b, options)?);
    let sheet = comparison_sheet(&compare(&a, &b));
    files.push(("comparison.txt".to_owned(), sheet.clone().into()));
    picture(files, "comparison", options, side_by_side(&a, &b))?;
    Ok(sheet)
}
