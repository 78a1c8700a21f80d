//! `totals.json`: the zones, tiers and total, and what was decided on the way.

use serde_json::{Map, Value, json};

use super::order_json::{order, pure_rate};
use super::piles::pile_totals;
use super::soil_json::soil;
use super::taskdata::Report;
use super::zone_row::{CEC_DECIMALS, ZoneRow, amount_names, rate_unit, written_rate};
use super::{FormatError, OutputFile};
use crate::cautions::CAUTIONS;
use crate::plan::{KrigingReport, Method, Plan};
use crate::projection::Coordinates;
use crate::report::warnings::sentence;
use crate::surface::{Basis, Idw, Neighbors, Shape, Trial, Variogram};
use crate::tonnage::{AREA_DECIMALS, Amount, MASS_DECIMALS};
use crate::units::{Length, Mass, Quantity, round_to};

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
        let mut tail = amount(total);
        if let Some(pure) = pure_rate(plan, tier.rate) {
            tail.insert("rate_pure".into(), pure.into());
        }
        with(head, tail)
    });
    let [area, mass] = amount_names(system);
    let zones = ZoneRow::all(plan).into_iter().map(|row| {
        json!({
            "zone": row.zone, "tier": row.tier, "label": row.label,
            "rate": row.rate, "rate_unit": row.rate_unit,
            area: row.area, mass: row.mass, "cec_mean": row.cec_mean,
        })
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
        "certainty": certainty(plan),
        "clean_up": clean_up(plan),
        "unspread": unspread(plan),
        "stockpile": pile_totals(plan),
        "second_look": second_look(plan),
        "order": order(plan),
        "soil": soil(plan),
        "excluded": plan.field.excluded.iter().map(|sample| &sample.id).collect::<Vec<_>>(),
        "warnings": warnings(plan),
        "cautions": CAUTIONS,
    });
    if let (Some(report), Some(object)) = (task_data, totals.as_object_mut()) {
        object.insert("task_data".into(), report.json());
    }
    totals
}

fn warnings(plan: &Plan) -> Vec<Value> {
    let system = plan.settings.system;
    let told = plan.warnings.iter().map(|warning| {
        let text = sentence(warning, system);
        json!({ "code": warning.code(), "gravity": warning.gravity().word(), "text": text })
    });
    told.collect()
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
    let system = plan.settings.system;
    let idw = plan.surface.choice.idw;
    let length = |length: Length| round_to(length.value_in(system), 4);
    let trial = |trial: &Trial| {
        json!({
            "power": trial.idw.power(),
            "neighbors": neighbors(&trial.idw),
            "rmse": round_to(trial.errors.rmse, 4),
            "mean_error": round_to(trial.errors.mean_error, 4),
            "r2": round_to(trial.errors.r2_against_mean, 4),
        })
    };
    json!({
        "method": match plan.surface.method {
            Method::InverseDistance => "inverse distance",
            Method::Kriging => "kriging",
        },
        "power": idw.power(),
        "neighbors": neighbors(&idw),
        "radius": idw.radius().map(|metres| length(Length::metres(metres))),
        "grid": length(plan.settings.grid),
        "length_unit": Length::unit(system).symbol(),
        "settings_tried": plan.surface.choice.trials.len(),
        "cross_validation": plan.surface.choice.chosen.as_ref().map(trial),
        "least_rmse": plan.surface.choice.best.as_ref().map(trial),
        "kriging": plan.surface.kriging.as_ref().map(kriging),
        "power_2_nearest_12": plan.surface.choice.default.as_ref().map(trial),
    })
}

fn kriging(kriging: &KrigingReport) -> Value {
    let Variogram { shape, nugget, partial_sill, range } = kriging.fit.variogram;
    json!({
        "model": match shape { Shape::Spherical => "spherical", Shape::Exponential => "exponential" },
        "nugget": round_to(nugget, 4),
        "partial_sill": round_to(partial_sill, 4),
        "range_m": round_to(range, 2),
        "rmse": round_to(kriging.errors.rmse, 4),
        "mean_error": round_to(kriging.errors.mean_error, 4),
        "r2": round_to(kriging.errors.r2_against_mean, 4),
    })
}

/// How sure the tiers are, and the tons of a perfect map.
fn certainty(plan: &Plan) -> Value {
    let Some(certainty) = &plan.certainty else { return Value::Null };
    let system = plan.settings.system;
    let [_, mass_name] = amount_names(system);
    let mass = |mass: Mass| round_to(mass.value_in(system), MASS_DECIMALS);
    let zones = certainty.zones.iter().map(|zone| {
        json!({
            "zone": zone.number,
            "sure_percent": round_to(zone.sure_share().as_percent(), 1),
            format!("{mass_name}_wanting"): mass(zone.missing),
            format!("{mass_name}_too_many"): mass(zone.surplus),
        })
    });
    json!({
        "errors": match certainty.basis { Basis::Local => "local", Basis::Constant => "constant" },
        format!("{mass_name}_low"): mass(certainty.tons.low),
        format!("{mass_name}_planned"): plan.total.printed_mass,
        format!("{mass_name}_high"): mass(certainty.tons.high),
        "zones": zones.collect::<Vec<_>>(),
    })
}

fn neighbors(idw: &Idw) -> Value {
    match idw.neighbors() {
        Neighbors::Nearest(count) => Value::from(count),
        Neighbors::All => "all".into(),
    }
}

/// What is not spread, by cause.
fn unspread(plan: &Plan) -> Vec<Value> {
    let system = plan.settings.system;
    let [name, _] = amount_names(system);
    let causes = plan.unspread_by_cause().map(|(keep_out, area)| {
        json!({
            "why": keep_out.why,
            "distance": round_to(keep_out.distance.value_in(system), 4),
            "distance_unit": Length::unit(system).symbol(),
            name: round_to(area.value_in(system), AREA_DECIMALS),
        })
    });
    causes.collect()
}

/// What the clean-up moved, per tier.
fn clean_up(plan: &Plan) -> Value {
    let (Some(asked), Some(done)) = (&plan.settings.clean_up, &plan.cleaned_up) else {
        return Value::Null;
    };
    let system = plan.settings.system;
    let [area, mass] = amount_names(system);
    let tiers = (1..).zip(&done.tiers).map(|(tier, change): (usize, _)| {
        json!({
            "tier": tier,
            area: round_to(change.area.value_in(system), AREA_DECIMALS),
            mass: round_to(change.mass.value_in(system), MASS_DECIMALS),
        })
    });
    json!({
        "min_zone": round_to(asked.min_zone.value_in(system), 4),
        "min_width": round_to(asked.min_width.value_in(system), 4),
        "tolerance": round_to(asked.tolerance.value_in(system), 4),
        "zones_before": done.zones_before,
        "zones_after": plan.zones.len(),
        "moved": tiers.collect::<Vec<_>>(),
    })
}

fn second_look(plan: &Plan) -> Vec<Value> {
    let system = plan.settings.system;
    let [_, mass] = amount_names(system);
    let looks = plan.second_looks.iter().map(|look| {
        json!({
            "sample": look.id,
            "cec": round_to(look.cec, CEC_DECIMALS),
            "neighbors_say": round_to(look.neighbors_say, CEC_DECIMALS),
            mass: round_to(look.mass.value_in(system), MASS_DECIMALS),
        })
    });
    looks.collect()
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
