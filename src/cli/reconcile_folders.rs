//! The folders of planned fields.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use landplaster::path_text::shown;
use landplaster::read;
use landplaster::reconcile::PlannedField;
use landplaster::totals::{Amount, Totals};
use landplaster::units::{Share, System};

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
        let place = shown(folder);
        if folder.join("farm.json").is_file() && !folder.join("totals.json").exists() {
            warnings.push(format!("{place}: passed over, it holds the farm and no field"));
            continue;
        }
        let real = fs::canonicalize(folder).unwrap_or_else(|_| folder.clone());
        if let Some(before) = folders_known.insert(real, folder) {
            warnings.push(format!("{place}: the same folder as {}; counted once", shown(before)));
            continue;
        }
        let field = one(folder)?;
        let name = &field.0.name;
        if let Some(before) = names.insert(name.to_lowercase(), folder) {
            return Err(Failure::Input(format!(
                "{} and {place}: found the field \"{name}\" in both, expected each field once; give the folder that was spread by",
                shown(before)
            )));
        }
        fields.push(field);
    }
    if fields.is_empty() {
        return Err(Failure::Input(format!(
            "{}: found no planned field, expected the folder of a field, such as plans/home-lane",
            folders.first().map(shown).unwrap_or_default()
        )));
    }
    Ok((fields, warnings))
}

/// A field as its folder has it. The folder is what went to the controller; planned again, the field
/// might come out otherwise.
fn one(folder: &Path) -> Result<(PlannedField, System), Failure> {
    let file = folder.join("totals.json");
    let text = load::text("totals", &file)?;
    let totals = Totals::read(&text)
        .map_err(|error| Failure::Input(format!("{}: {error}", shown(&file))))?;
    let source = load::source("zones", &folder.join("zones.geojson"))?;
    let zones = read::zones(&source).map_err(Failure::input)?;
    let Amount { area, mass } = totals.total;
    let (area, mass) = (area.quantity(), mass.quantity());
    let loss = totals.order.map_or(Share::ZERO, |order| Share::percent(order.loss_percent));
    Ok((PlannedField { name: totals.job, area, mass, loss, zones }, totals.units))
}
