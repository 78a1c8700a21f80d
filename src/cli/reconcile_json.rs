//! The figures of fields held against their records, as JSON.

use landplaster::reconcile::{FieldRecord, Reconciliation, ZoneRecord, statement};
use landplaster::units::System;
use serde_json::{Value, json};

use super::failure::Failure;
use super::{reconcile_log, standard_output, terminal_control};

/// Prints the figures with their units.
pub fn json(of: &Reconciliation, warnings: &[String]) -> Result<(), Failure> {
    let (correction, none) = match &of.correction {
        None => (None, None),
        Some(Ok(found)) => (Some(found), None),
        Some(Err(why)) => (None, Some(why.to_string())),
    };
    let correction = correction.map(|found| {
        json!({
            "spread_to_applied": found.ratio,
            "constant": found.was.value,
            "suggested_constant": found.suggested.value,
        })
    });
    let value = json!({
        "units": of.system,
        "fields": of.fields.iter().map(|field| field_value(field, of.system)).collect::<Vec<_>>(),
        "machines": of.machines.iter().map(|one| reconcile_log::machine(one, of.system)).collect::<Vec<_>>(),
        "rows_off_the_zones": of.off.rows,
        "area_off_the_zones": of.off.area,
        "applied_off_the_zones": of.off.applied,
        "correction": correction,
        "no_correction": none,
        "statement": statement(of),
        "warnings": warnings,
    });
    let text =
        serde_json::to_string_pretty(&value).map_err(|error| Failure::Write(error.to_string()))?;
    standard_output::text(&format!("{}\n", terminal_control::written_out(&text)))
}

fn field_value(field: &FieldRecord, system: System) -> Value {
    let zone = |zone: &ZoneRecord| {
        json!({
            "zone": zone.zone, "label": zone.label, "target": zone.target, "area": zone.area,
            "recorded": zone.recorded, "planned": zone.planned, "applied": zone.applied,
            "applied_by_count": zone.counted,
            "within_10_percent": zone.near,
        })
    };
    json!({
        "field": field.field,
        "area": field.area,
        "loads": field.loads,
        "planned": field.planned,
        "delivered": field.delivered,
        "left": field.left,
        "lost": field.lost,
        "loss_percent": field.loss_percent,
        "spread": field.spread,
        "applied": field.applied,
        "within_10_percent_share": field.near,
        "zones": field.zones.iter().map(zone).collect::<Vec<_>>(),
        "log": field.driven.as_ref().map(|driven| reconcile_log::field(driven, system)),
    })
}
