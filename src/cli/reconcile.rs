//! `landplaster reconcile`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use landplaster::path_text::shown;
use landplaster::read;
use landplaster::reconcile::{PlannedField, reconcile, season};
use landplaster::report::summary::reconcile_summary;
use landplaster::report::warnings::sentence;
use landplaster::spreader::machine::{self, Machine};
use landplaster::units::{Mass, System, Written, count};

use super::failure::Failure;
use super::lock::Lock;
use super::{
    load, reconcile_checks, reconcile_folders, reconcile_json, reconcile_record, saving,
    standard_output,
};

/// The arguments as typed.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// The folders of planned fields, such as plans/home-lane
    #[arg(required = true, value_name = "FOLDER")]
    folders: Vec<PathBuf>,
    /// The weigh tickets (CSV): date, field, and a mass whose header says the unit
    #[arg(long, value_name = "FILE")]
    tickets: PathBuf,
    /// The tickets' column with the mass, if several have a unit of mass
    #[arg(long, value_name = "COLUMN")]
    tons: Option<String>,
    /// What was left of the loads: "3.5 ton", or "FIELD=3.5 ton" once for each field
    #[arg(long, value_name = "MASS")]
    left: Vec<String>,
    #[command(flatten)]
    record: reconcile_record::Arguments,
    /// The machine file (TOML), for the controller's constant in use
    #[arg(long, value_name = "FILE", requires = "applied")]
    machine: Option<PathBuf>,
    /// The farm's season.csv, which a row for each field is added to
    #[arg(long, value_name = "FILE")]
    season: Option<PathBuf>,
    /// Print the figures as JSON instead of a table
    #[arg(long)]
    json: bool,
}

/// Holds the fields against their records, prints what comes out, and adds it to the season.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let (planned, mut warnings) = reconcile_folders::planned(&arguments.folders)?;
    let names: Vec<&str> = planned.iter().map(|(field, _)| field.name.as_str()).collect();
    let usual = planned.first().map_or(System::default(), |(_, system)| *system);
    let (tickets, more) =
        read::tickets(&load::source("tickets", &arguments.tickets)?, arguments.tons.as_deref())
            .map_err(Failure::input)?;
    warnings.extend(more.iter().map(|warning| sentence(warning, usual)));
    warnings.extend(reconcile_checks::of_others(&arguments.tickets, &tickets, &names)?);
    if arguments.left.is_empty() {
        warnings.push(
            "all that was delivered counts as spread, for nothing is said to be left: give what is with --left"
                .to_owned(),
        );
    }
    let left = left(&arguments.left, &names)?;
    let machine = arguments.machine.as_deref().map(machine).transpose()?;
    let swath = machine.as_ref().map(|machine| machine.swath);
    let (record, more) = reconcile_record::recorded(&arguments.record, swath)?;
    warnings.extend(more.iter().map(|warning| sentence(warning, usual)));
    let constant = machine.as_ref().and_then(|machine| machine.constant);
    let season_file = arguments.season.as_deref().map(saving::real).transpose()?;
    let lock = season_file.as_deref().map(Lock::of_file).transpose()?;
    let before = match &season_file {
        Some(path) if path.exists() => load::text("season", path)?,
        _ => String::new(),
    };
    let system = season::system(&before).unwrap_or(usual);
    let fields: Vec<(PlannedField, Mass)> =
        planned.into_iter().map(|(field, _)| field).zip(left).collect();
    let reconciled = reconcile(&fields, &tickets, record.application(), constant, system);
    reconcile_checks::left_of_delivered(&reconciled)?;
    if let Some(path) = &arguments.record.applied {
        reconcile_checks::on_the_zones(path, &fields, &record, &reconciled)?;
        warnings.extend(reconcile_checks::unit(path, &record, &reconciled)?);
    }
    warnings.extend(reconcile_checks::record(&reconciled, record.len()));
    let mut note = None;
    if let Some(path) = &season_file {
        let place = shown(path);
        let (text, new) = season::added(&place, &before, &reconciled).map_err(Failure::input)?;
        if new > 0 {
            saving::one(path, text.as_bytes())?;
        }
        let (with, without): (Vec<_>, Vec<_>) =
            reconciled.fields.iter().partition(|field| season::has_row(field));
        warnings.extend(without.iter().map(|field| {
            let name = &field.field;
            format!("{name}: no tickets and no record, so no row is added to {place}")
        }));
        let known = with.len() - new;
        note = Some(format!(
            "{place}: {} added, {known} were in it already",
            count(new, "row", "rows")
        ));
    }
    drop(lock);
    if arguments.json {
        reconcile_json::json(&reconciled, &warnings)
    } else {
        standard_output::text(&reconcile_summary(&reconciled, &warnings, note))
    }
}

/// What was left of each field's loads.
fn left(written: &[String], names: &[&str]) -> Result<Vec<Mass>, Failure> {
    let mut left = vec![Mass::ZERO; names.len()];
    let mut given = BTreeSet::new();
    for text in written {
        let (name, mass) = match (text.split_once('='), names) {
            (Some((name, mass)), _) => (name.trim(), mass),
            (None, [only]) => (*only, text.as_str()),
            (None, _) => {
                return Err(Failure::Input(format!(
                    "--left: found \"{text}\" for several fields, expected one such as \"{}=3.5 tons\"",
                    names.first().unwrap_or(&"field")
                )));
            }
        };
        let mass = Written::<Mass>::read(mass)
            .map_err(|error| Failure::Input(format!("--left: {error}")))?
            .value;
        let place = names.iter().position(|known| known.to_lowercase() == name.to_lowercase());
        let Some(slot) = place.and_then(|place| left.get_mut(place)) else {
            let known = names.join(", ");
            return Err(Failure::Input(format!(
                "--left: found the field \"{name}\", expected one of {known}"
            )));
        };
        if mass < Mass::ZERO {
            return Err(Failure::Input(format!("--left: found \"{text}\", expected 0 or more")));
        }
        if !given.insert(name.to_lowercase()) {
            return Err(Failure::Input(format!(
                "--left: found the field \"{name}\" twice, expected each field once; give their sum"
            )));
        }
        *slot = mass;
    }
    Ok(left)
}

fn machine(path: &Path) -> Result<Machine, Failure> {
    let text = load::text("machine file", path)?;
    machine::read(&shown(path), &text).map_err(Failure::input)
}
