//! `farm.json`: all fields and what they come to.

use serde_json::{Map, Value, json};

use super::{FarmTotals, Figures, TierFigures, order_json};
use crate::cautions::CAUTIONS;
use crate::units::System;
use crate::write::{FormatError, OutputFile, amount_names, rate_unit};

pub(super) fn file(totals: &FarmTotals) -> Result<OutputFile, FormatError> {
    let fault =
        |error: serde_json::Error| FormatError { file: "farm.json", reason: error.to_string() };
    let mut text = serde_json::to_string_pretty(&value(totals)).map_err(fault)?;
    text.push('\n');
    Ok(OutputFile { name: "farm.json".to_owned(), bytes: text.into_bytes() })
}

/// The content of `farm.json`.
#[must_use]
pub fn value(totals: &FarmTotals) -> Value {
    let system = totals.system;
    let tiers = |tiers: &[TierFigures]| -> Vec<Value> {
        tiers.iter().map(|figures| tier(figures, system)).collect()
    };
    let planned = totals.fields.iter().filter_map(|field| {
        let figures = field.figures.as_ref().ok()?;
        let mut object = Map::new();
        object.insert("job".into(), figures.job.clone().into());
        object.insert("file".into(), field.file.clone().into());
        object.extend(field_amounts(figures, system));
        object.insert("zones".into(), figures.zones.into());
        object.insert("warnings".into(), figures.warnings.into());
        object.insert("tiers".into(), tiers(&figures.tiers).into());
        object.insert("order".into(), order_json::field(figures.order.as_ref(), system));
        Some(Value::Object(object))
    });
    let fields: Vec<Value> = planned.collect();
    let mut total = Map::new();
    total.insert("fields".into(), fields.len().into());
    total.extend(amounts(totals.area, totals.mass, totals.range, totals.flat, system));
    let failures = totals.failures().map(|(file, error)| json!({ "file": file, "error": error }));
    json!({
        "farm": totals.farm,
        "units": system,
        "total": total,
        "tiers": tiers(&totals.tiers),
        "order": order_json::farm(totals),
        "fields": fields,
        "failures": failures.collect::<Vec<_>>(),
        "cautions": CAUTIONS,
    })
}

fn field_amounts(figures: &Figures, system: System) -> Map<String, Value> {
    amounts(figures.area, figures.mass, figures.range, figures.flat, system)
}

fn amounts(
    area: f64,
    mass: f64,
    range: Option<[f64; 2]>,
    flat: f64,
    system: System,
) -> Map<String, Value> {
    let [area_name, mass_name] = amount_names(system);
    let mut object = Map::new();
    object.insert(area_name.into(), area.into());
    object.insert(mass_name.into(), mass.into());
    object.insert(format!("{mass_name}_low"), range.map(|[low, _]| low).into());
    object.insert(format!("{mass_name}_high"), range.map(|[_, high]| high).into());
    object.insert(format!("flat_rate_{mass_name}"), flat.into());
    object
}

fn tier(figures: &TierFigures, system: System) -> Value {
    let [area, mass] = amount_names(system);
    json!({
        "label": figures.label,
        "rate": figures.rate,
        "rate_unit": rate_unit(system),
        "zones": figures.zones,
        area: figures.area,
        mass: figures.mass,
    })
}
