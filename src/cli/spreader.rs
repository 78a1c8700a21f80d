//! `landplaster spreader`.

use std::path::{Path, PathBuf};

use landplaster::path_text::shown;
use landplaster::report::{ConstantState, Setup, setup_sheet, setup_table};
use landplaster::spreader::constant::{WeighTestLog, estimate};
use landplaster::spreader::gate::{GateTier, Limits, read_rates, read_totals, solve};
use landplaster::spreader::machine::{self, Machine};

use super::failure::Failure;
use super::lock::Lock;
use super::{load, saving, standard_output};

/// The arguments as typed.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The machine file (TOML) with its material
    machine: PathBuf,
    /// The field's rates, with commas between them: "0.5 ton/ac,1 ton/ac"
    #[arg(long, required_unless_present = "totals", conflicts_with = "totals")]
    rates: Option<String>,
    /// The totals.json of a plan, for its tiers and areas
    #[arg(long)]
    totals: Option<PathBuf>,
    /// The log of weigh tests (CSV), picked up if it is there; --weigh starts it
    #[arg(long)]
    log: Option<PathBuf>,
    /// New weigh tests (CSV) to add to the log first
    #[arg(long, requires = "log")]
    weigh: Option<PathBuf>,
    /// Folder for setup.txt and setup.csv
    #[arg(long)]
    out: Option<PathBuf>,
}

/// Solves the gate opening and prints the setup sheet.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let path = &arguments.machine;
    let text = load::text("machine file", path)?;
    let mut machine = machine::read(&shown(path), &text).map_err(Failure::input)?;
    let tiers = tiers(arguments)?;
    let constant = match &arguments.log {
        None => ConstantState::NoLog,
        Some(path) => match log(path, arguments.weigh.as_deref())? {
            Some(log) => constant(path, &machine, &log)?,
            None => ConstantState::NotYet { log: shown(path) },
        },
    };
    if let ConstantState::Corrected { found, .. } = &constant {
        machine.fill_factor = found.fill_factor;
    }
    let solution = solve(&Limits::from(&machine), &tiers);
    let setup = Setup { machine, tiers, solution, constant };
    let sheet = setup_sheet(&setup);
    if let Some(folder) = &arguments.out {
        let table = setup_table(&setup).csv();
        let files = [
            ("setup.txt".to_owned(), sheet.clone().into()),
            ("setup.csv".to_owned(), table.into()),
        ];
        saving::all(folder, &files)?;
    }
    standard_output::text(&sheet)
}

fn tiers(arguments: &Arguments) -> Result<Vec<GateTier>, Failure> {
    if let Some(path) = &arguments.totals {
        return read_totals(&shown(path), &load::text("totals", path)?).map_err(Failure::input);
    }
    read_rates("--rates", arguments.rates.as_deref().unwrap_or_default()).map_err(Failure::input)
}

/// The log with the new weigh tests in it, kept if there were any; none where there is no log yet.
fn log(path: &Path, weigh: Option<&Path>) -> Result<Option<WeighTestLog>, Failure> {
    let read = |path: &Path| {
        WeighTestLog::read(&shown(path), &load::text("weigh tests", path)?).map_err(Failure::input)
    };
    let known = |path: &Path| if path.exists() { read(path).map(Some) } else { Ok(None) };
    let Some(weigh) = weigh else { return known(path) };
    let path = &saving::real(path)?;
    let _lock = Lock::of_file(path)?;
    let mut log = known(path)?.unwrap_or_default();
    if log.add(read(weigh)?) > 0 {
        saving::one(path, log.write().as_bytes())?;
    }
    Ok(Some(log))
}

fn constant(path: &Path, machine: &Machine, log: &WeighTestLog) -> Result<ConstantState, Failure> {
    let tests = log.of(&machine.name, &machine.material.name);
    if tests.is_empty() {
        return Ok(ConstantState::NoTests);
    }
    let Some(now) = machine.constant else { return Ok(ConstantState::NoConstant) };
    let found = estimate(now, machine.fill_factor, &tests)
        .map_err(|fault| Failure::Input(format!("{}: {fault}", shown(path))))?;
    Ok(match found {
        Some(found) => ConstantState::Corrected { was: (now, machine.fill_factor), found },
        None => ConstantState::NoTests,
    })
}
