//! `landplaster pile`.

use std::path::PathBuf;

use landplaster::path_text::shown;
use landplaster::plan::plan;
use landplaster::report::pile_sheet;
use landplaster::work::Disk;
use landplaster::write::{pile_files, pile_totals};

use super::failure::Failure;
use super::{load, saving, standard_output};

/// What was typed.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The job file (TOML) with a [pile] table
    #[arg(value_name = "JOB.toml")]
    job: PathBuf,
    /// A place to check, in place of the job's own
    #[arg(long, value_name = "LON,LAT", allow_hyphen_values = true)]
    place: Option<String>,
    /// Print the piles as totals.json has them instead of the sheet
    #[arg(long)]
    json: bool,
    /// Folder for the sheet and the maps of piles and allowed ground
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// Plans the field and prints its piles. That no pile may lie anywhere, or that a named place fails,
/// is an answer and no fault of the input: it is said, and the exit code is 0.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let mut work = load::job(&arguments.job)?;
    let job = shown(&arguments.job);
    let Some(pile) = &mut work.job.pile else {
        return Err(Failure::Input(format!(
            "{job}: found no [pile], expected one, with a [[pile.setback]] for each thing to keep from"
        )));
    };
    if let Some(text) = &arguments.place {
        pile.place = Some(place(text)?);
    }
    let prepared = work.prepare(&Disk).map_err(Failure::input)?;
    let plan = plan(prepared.field, prepared.settings).map_err(Failure::input)?;
    let sheet = pile_sheet(&plan);
    if let Some(folder) = &arguments.out {
        let files = pile_files(&plan).into_iter();
        let mut files: Vec<_> = files.map(|file| (file.name, file.bytes)).collect();
        files.push(("pile.txt".to_owned(), sheet.clone().into_bytes()));
        saving::all(folder, &files)?;
    }
    if arguments.json {
        return standard_output::json(&pile_totals(&plan));
    }
    standard_output::text(&sheet)
}

fn place(text: &str) -> Result<[f64; 2], Failure> {
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|value| value.is_finite());
    text.split_once(',').and_then(|(x, y)| Some([number(x)?, number(y)?])).ok_or_else(|| {
        Failure::Input(format!(
            "--place: found \"{text}\", expected longitude and latitude such as -85.1453,40.5238"
        ))
    })
}
