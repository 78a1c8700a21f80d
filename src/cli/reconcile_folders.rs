//! The folders of planned fields.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use landplaster::read;
use landplaster::reconcile::PlannedField;
use landplaster::units::{Area, Mass, Quantity, Share, System};
use serde_json::Value;

use super::failure::Failure;
use super::load;

/// Fields, each with the units that it is printed in.
type Planned = Vec<(PlannedField, System)>;

/// The fields of folders, each folder once by whatever path, and what was passed over.
pub fn planned(folders: &[PathBuf]) -> Result<(Planned, Vec<String>), Failure> {
    let (mut fields, mut warnings) = (Vec::new(), Vec::new());
    let mut folders_known: BTreeMap<PathBuf, &Path> = BTreeMap::new();
    let mut names: BTreeMap<String, &Path> = BTreeMap::new();
    for folder in folders {
        let shown = folder.display();
        if folder.join("farm.json").is_file() && !folder.join("totals.json").exists() {
            warnings.push(format!("{shown}: passed over, it holds the farm and no field"));
            continue;
        }
        let real = fs::canonicalize(folder).unwrap_or_else(|_| folder.clone());
        if let Some(before) = folders_known.insert(real, folder) {
            warnings
                .push(format!("{shown}: the same folder as {}; counted once", before.display()));
            continue;
        }
        let field = one(folder)?;
        let name = &field.0.name;
        if let Some(before) = names.insert(name.to_lowercase(), folder) {
            return Err(Failure::Input(format!(
                "{} and {shown}: found the field \"{name}\" in both, expected each field once; give the folder that was spread by",
                before.display()
            )));
        }
        fields.push(field);
    }
    if fields.is_empty() {
        return Err(Failure::Input(format!(
            "{}: found no planned field, expected the folder of a field, such as plans/home-lane",
            folders.first().map(|folder| folder.display().to_string()).unwrap_or_default()
        )));
    }
    Ok((fields, warnings))
}

/// A field as its folder has it. The folder is what went to the controller; planned again, the field
/// might come out otherwise.
fn one(folder: &Path) -> Result<(PlannedField, System), Failure> {
    let file = folder.join("totals.json");
    let text = load::text("totals", &file)?;
    let fault = || {
        Failure::Input(format!(
            "{}: found no totals of a plan, expected the folder that a plan has written",
            file.display()
        ))
    };
    let totals: Value = serde_json::from_str(&text).map_err(|_| fault())?;
    let units = totals.get("units").cloned().unwrap_or_default();
    let system: System = serde_json::from_value(units).map_err(|_| fault())?;
    let figure = |names: [&str; 2]| {
        let total = totals.get("total")?;
        names.iter().find_map(|name| total.get(name)).and_then(Value::as_f64)
    };
    let area = figure(["acres", "hectares"]).ok_or_else(fault)?;
    let mass = figure(["tons", "tonnes"]).ok_or_else(fault)?;
    let name = totals.get("job").and_then(Value::as_str).ok_or_else(fault)?.to_owned();
    let source = load::source("zones", &folder.join("zones.geojson"))?;
    let zones = read::zones(&source).map_err(Failure::input)?;
    let area = Area::from_si(area * Area::unit(system).si);
    let mass = Mass::from_si(mass * Mass::unit(system).si);
    let loss = totals.pointer("/order/loss_percent").and_then(Value::as_f64);
    let loss = loss.map_or(Share::ZERO, Share::percent);
    Ok((PlannedField { name, area, mass, loss, zones }, system))
}
