//! `landplaster land`.

use std::path::{Path, PathBuf};

use landplaster::job::MOST_ROUNDS;
use landplaster::landing::{Landing, LandingSettings, Logged, OnGround, PassDirection};
use landplaster::path_text::shown;
use landplaster::plan::Plan;
use landplaster::read;
use landplaster::report;
use landplaster::spreader::Machine;
use landplaster::spreader::pans::{self, Pattern};
use landplaster::units::{Length, Quantity, Speed, Time, Written, count};
use landplaster::work::{Disk, task_data};
use landplaster::write::taskdata::grid_rates;
use landplaster::write::{landed_picture, landed_tif, landing_totals, logged_totals};

use super::failure::Failure;
use super::{load, saving, standard_output};

/// What was typed.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The job file (TOML); it names the spreader
    #[arg(value_name = "JOB.toml")]
    job: PathBuf,
    /// The catch-pan test whose pattern is laid down, in place of the job's own
    #[arg(long, value_name = "PANS.csv")]
    pans: Option<PathBuf>,
    /// Ground speed such as "8 mph"; the middle of the spreader's when absent
    #[arg(long)]
    speed: Option<String>,
    /// How passes run: degrees clockwise from north, "longest" (the longest side) or "best" (found);
    /// as the job's rows when absent
    #[arg(long, value_name = "DEGREES")]
    heading: Option<String>,
    /// How often the spreader goes round the field before the passes; as the job says, or once
    #[arg(long, value_name = "COUNT")]
    rounds: Option<usize>,
    /// How far ahead the controller reads the map, such as "1.5 s"; the spreader's when absent
    #[arg(long, value_name = "TIME")]
    look_ahead: Option<String>,
    /// The side of the cells that what lands is counted in; 2 ft when absent
    #[arg(long, value_name = "LENGTH")]
    cell: Option<String>,
    /// Reckon what landed by the task data that came back from the machine (its folder or .zip), in
    /// place of passes
    #[arg(long, value_name = "TASKDATA", conflicts_with_all = ["speed", "heading", "rounds", "grid"])]
    log: Option<PathBuf>,
    /// Ask for the rates of the task data's grid, as the controller reads them, in place of the zones'
    #[arg(long)]
    grid: bool,
    /// Print the figures as JSON instead of the table
    #[arg(long)]
    json: bool,
    /// Folder for the picture (landed.svg) and the cells (landed.tif, for map programs)
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// Plans the field, spreads it and prints what lands.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let work = load::job(&arguments.job)?;
    let job = shown(&arguments.job);
    let of_job = work.job.landing(&work.file).map_err(Failure::input)?;
    let settings = settings(arguments, of_job)?;
    let prepared = work.prepare(&Disk).map_err(Failure::input)?;
    let Some(machine) = prepared.extras.sheet.machine.clone() else {
        return Err(Failure::Input(format!(
            "{job}: found no spreader, expected one: what lands depends on swath, belt and delay; \
             add spreader = \"machine.toml\""
        )));
    };
    let row = match &arguments.pans {
        None => prepared.extras.sheet.pans.as_ref().map(|report| report.test.clone()),
        Some(path) => {
            let content = load::text("pan test", path)?;
            Some(pans::read(&shown(path), &content).map_err(Failure::input)?)
        }
    };
    let task_data = if arguments.grid {
        Some(prepared.extras.task_data.clone().ok_or_else(|| no_grid(&work.file))?)
    } else {
        None
    };
    let plan =
        landplaster::plan::plan(prepared.field, prepared.settings).map_err(Failure::input)?;
    let pattern = row.as_ref().map(|test| &test.pattern);
    if let Some(path) = &arguments.log {
        let (logged, warnings) = logged(path, &plan, &machine, pattern, &settings)?;
        written(arguments, &plan, logged.on_ground())?;
        if arguments.json {
            return standard_output::json(&logged_totals(&plan, &logged, warnings));
        }
        let lines = [warnings, report::landing::logged(&plan, &logged)].concat();
        return standard_output::text(&(lines.join("\n") + "\n"));
    }
    let landing = match task_data {
        None => Landing::new(&plan, &machine, pattern, &settings),
        Some(task_data) => {
            let map = grid_rates(&plan, &task_data).map_err(Failure::input)?;
            let map = map.ok_or_else(|| no_grid(&work.file))?;
            Landing::reading(&map, &plan, &machine, pattern, &settings)
        }
    };
    let landing = landing.map_err(Failure::input)?;
    written(arguments, &plan, landing.on_ground())?;
    if arguments.json {
        return standard_output::json(&landing_totals(&plan, &landing));
    }
    standard_output::text(&(report::landing::lines(&plan, &landing).join("\n") + "\n"))
}

fn no_grid(job: &str) -> Failure {
    Failure::Input(format!(
        "--grid: found no grid in {job}, expected [taskdata] with form = \"zone grid\" or \"rate grid\""
    ))
}

/// What landed by the logs of task data.
fn logged(
    path: &Path,
    plan: &Plan,
    machine: &Machine,
    pattern: Option<&Pattern>,
    settings: &LandingSettings,
) -> Result<(Logged, Vec<String>), Failure> {
    let name = shown(path);
    let Some(files) = task_data(&Disk, "log", path).map_err(Failure::input)? else {
        return Err(Failure::Input(format!(
            "{name}: found no task data, expected the folder TASKDATA that came back from the machine, or a .zip of it"
        )));
    };
    let (logs, warnings) = read::logs(&name.clone(), &files, None).map_err(Failure::input)?;
    let system = plan.settings.system;
    let warnings = warnings.iter().map(|warning| report::warnings::line(warning, system)).collect();
    let settings = (settings.lead, settings.side);
    let logged = Logged::new(plan, &logs, machine, pattern, settings).map_err(Failure::input)?;
    let logged = logged.ok_or_else(|| {
        Failure::Input(format!(
            "{name}: found nothing spread on {} in {}, expected a log of this field with its rates or its mass",
            plan.settings.job,
            count(logs.len(), "log", "logs"),
        ))
    })?;
    Ok((logged, warnings))
}

/// The picture and the cells, where they are asked for.
fn written(arguments: &Arguments, plan: &Plan, landed: OnGround<'_>) -> Result<(), Failure> {
    let Some(folder) = &arguments.out else { return Ok(()) };
    let (frame, system) = (plan.field.boundary.frame(), plan.settings.system);
    let files = [landed_picture(plan, landed), landed_tif(landed, frame, system)];
    let files = files.into_iter().map(|file| file.map(|file| (file.name, file.bytes)));
    let files: Vec<_> = files.collect::<Result<_, _>>().map_err(Failure::input)?;
    saving::all(folder, &files)
}

/// What the job says, but for what was typed.
fn settings(arguments: &Arguments, of_job: LandingSettings) -> Result<LandingSettings, Failure> {
    let rounds = arguments.rounds.unwrap_or(of_job.rounds);
    if rounds > MOST_ROUNDS {
        return Err(Failure::Input(format!(
            "--rounds: found {rounds}, expected 0 to {MOST_ROUNDS}"
        )));
    }
    let speed = above_zero::<Speed>("--speed", arguments.speed.as_deref(), "8 mph")?;
    let side = above_zero::<Length>("--cell", arguments.cell.as_deref(), "2 ft")?;
    let lead = quantity::<Time>("--look-ahead", arguments.look_ahead.as_deref())?;
    if let Some(lead) = lead.filter(|lead| lead.si() < 0.0) {
        return Err(Failure::Input(format!(
            "--look-ahead: found {} s, expected zero or more",
            lead.as_seconds()
        )));
    }
    let heading = along(arguments.heading.as_deref())?.unwrap_or(of_job.heading);
    let (speed, side) = (speed.or(of_job.speed), side.or(of_job.side));
    Ok(LandingSettings { heading, rounds, speed, lead, side, tries: true })
}

fn along(heading: Option<&str>) -> Result<Option<PassDirection>, Failure> {
    match heading.map(str::trim) {
        None => Ok(None),
        Some("longest") => Ok(Some(PassDirection::Longest)),
        Some("best") => Ok(Some(PassDirection::Best)),
        Some(text) => text
            .parse::<f64>()
            .ok()
            .filter(|degrees| (-360.0..=360.0).contains(degrees))
            .map(|degrees| Some(PassDirection::Heading(degrees.to_radians())))
            .ok_or_else(|| {
                Failure::Input(format!(
                    "--heading: found \"{text}\", expected degrees clockwise from north such as 90, \
                     or \"longest\" or \"best\""
                ))
            }),
    }
}

fn quantity<Q: Quantity>(option: &str, text: Option<&str>) -> Result<Option<Q>, Failure> {
    let read = |text| Written::<Q>::read(text).map(|written| written.value);
    text.map(read).transpose().map_err(|error| Failure::Input(format!("{option}: {error}")))
}

fn above_zero<Q: Quantity>(
    option: &str,
    text: Option<&str>,
    such_as: &str,
) -> Result<Option<Q>, Failure> {
    let found = quantity::<Q>(option, text)?;
    if found.is_some_and(|value| value.si() <= 0.0) {
        let text = text.unwrap_or_default();
        return Err(Failure::Input(format!(
            "{option}: found {text}, expected more than zero, such as \"{such_as}\""
        )));
    }
    Ok(found)
}
