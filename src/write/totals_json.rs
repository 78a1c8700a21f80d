//! `totals.json`: the zones, tiers and total, and what was decided on the way.

use serde_json::{Map, Value, json};

use super::taskdata::Report;
use super::zone_row::{CEC_DECIMALS, ZoneRow, amount_names, rate_unit, written_rate};
use super::{FormatError, OutputFile};
use crate::cautions::CAUTIONS;
use crate::plan::Plan;
use crate::projection::Coordinates;
use crate::surface::Neighbors;
use crate::tonnage::{Amount, MASS_DECIMALS};
use crate::units::{Length, Quantity, round_to};

/// The totals as a file.
pub fn file(totals: &Value) -> Result<OutputFile, FormatError> {
    let fault =
        |error: serde_json::Error| FormatError { file: "totals.json", reason: error.to_string() };
    let mut text = serde_json::to_string_pretty(totals).map_err(fault)?;
    text.push('\n');
    Ok(OutputFile::new("totals.json", text))
}

/// The content of `totals.json`.
#[must_use]
pub fn totals(plan: &Plan, task_data: Option<&Report>) -> Value {
    let system = plan.settings.system;
    let unit = rate_unit(system);
    let amount = |amount: &Amount| {
        let [area, mass] = amount_names(system);
        let mut object = Map::new();
        object.insert(area.into(), amount.printed_area.into());
        object.insert(mass.into(), amount.printed_mass.into());
        object
    };
    let with = |head: Value, tail: Map<String, Value>| {
        let mut object = head.as_object().cloned().unwrap_or_default();
        object.extend(tail);
        Value::Object(object)
    };
    let tiers = plan.tiers.iter().enumerate().map(|(i, (tier, total))| {
        let zones = plan.zones.iter().filter(|zone| zone.tier == i).count();
        let rate = written_rate(tier.rate, system);
        let head = json!({ "tier": i + 1, "label": tier.label, "rate": rate, "rate_unit": unit, "zones": zones });
        with(head, amount(total))
    });
    let zones = plan.zones.iter().map(|zone| {
        let row = ZoneRow::of(plan, zone);
        let head = json!({
            "zone": row.zone, "tier": row.tier, "label": row.label,
            "rate": row.rate, "rate_unit": row.rate_unit,
        });
        let mut object = amount(&zone.amount);
        object.insert("cec_mean".into(), row.cec_mean.into());
        with(head, object)
    });
    let mut totals = json!({
        "job": plan.settings.job,
        "units": system,
        "total": amount(&plan.total),
        "tiers": tiers.collect::<Vec<_>>(),
        "zones": zones.collect::<Vec<_>>(),
        "flat_rate": flat_rate(plan),
        "samples": samples(plan),
        "surface": surface(plan),
        "coordinates": coordinates(plan),
        "warnings": plan.field.warnings,
        "cautions": CAUTIONS,
    });
    if let (Some(report), Some(object)) = (task_data, totals.as_object_mut()) {
        object.insert("task_data".into(), report.json());
    }
    totals
}

fn flat_rate(plan: &Plan) -> Value {
    let system = plan.settings.system;
    let [_, mass] = amount_names(system);
    json!({
        "cec_mean": round_to(plan.flat.cec_mean, CEC_DECIMALS),
        "tier": plan.flat.tier + 1,
        "rate": written_rate(plan.flat.rate, system),
        "rate_unit": rate_unit(system),
        mass: round_to(plan.flat.mass.value_in(system), MASS_DECIMALS),
    })
}

fn samples(plan: &Plan) -> Value {
    let cec: Vec<f64> = plan.field.samples.iter().map(|sample| sample.cec).collect();
    let mean = cec.iter().sum::<f64>() / cec.len() as f64;
    json!({
        "count": cec.len(),
        "cec_min": round_to(cec.iter().copied().fold(f64::INFINITY, f64::min), CEC_DECIMALS),
        "cec_mean": round_to(mean, CEC_DECIMALS),
        "cec_max": round_to(cec.iter().copied().fold(f64::NEG_INFINITY, f64::max), CEC_DECIMALS),
    })
}

fn surface(plan: &Plan) -> Value {
    let idw = plan.settings.idw;
    let system = plan.settings.system;
    let length = |length: Length| round_to(length.value_in(system), 4);
    let neighbors = match idw.neighbors() {
        Neighbors::Nearest(count) => Value::from(count),
        Neighbors::All => "all".into(),
    };
    json!({
        "method": "inverse distance",
        "power": idw.power(),
        "neighbors": neighbors,
        "radius": idw.radius().map(|metres| length(Length::metres(metres))),
        "grid": length(plan.settings.grid),
        "length_unit": Length::unit(system).symbol(),
    })
}

fn coordinates(plan: &Plan) -> Value {
    let field = &plan.field;
    let centre = field.boundary.frame().centre();
    let source = |coordinates: &Coordinates| json!({ "crs": coordinates.crs, "accuracy_m": coordinates.accuracy });
    json!({
        "written": "WGS 84 (EPSG:4326), longitude and latitude in degrees",
        "boundary": source(&field.boundary_coordinates),
        "samples": source(&field.samples_coordinates),
        "distances": format!(
            "metres on a transverse Mercator projection around {:.6}, {:.6}",
            centre.x, centre.y
        ),
        "areas": "geodesic, on the WGS 84 ellipsoid",
    })
}
