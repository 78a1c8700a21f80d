//! What is printed about fields held against their records.

use landplaster::reconcile::{Correction, FieldRecord, Reconciliation, ZoneRecord, statement};
use landplaster::report::driven::{field_lines, machine_lines};
use landplaster::spreader::machine::ConstantKind;
use landplaster::units::{Area, Mass, Quantity, Rate, System, count};
use serde_json::{Value, json};

use super::failure::Failure;
use super::reconcile_log;
use super::summary::{print, ruled};

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
    print(&format!("{text}\n"))
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

/// Prints each field's record, the constant, and what all this can show.
pub fn table(
    of: &Reconciliation,
    warnings: &[String],
    note: Option<String>,
) -> Result<(), Failure> {
    let mut lines = Vec::new();
    for field in &of.fields {
        lines.extend(one(field, of.system));
        lines.push(String::new());
    }
    lines.extend(
        of.machines.iter().flat_map(|one| machine_lines(one, of.machines.len(), of.system)),
    );
    lines.extend(of.system.tons_are().map(str::to_owned));
    lines.extend(of.correction.as_ref().map(|found| match found {
        Ok(found) => correction(found),
        Err(why) => format!("No controller constant is suggested: {why}."),
    }));
    lines.extend(warnings.iter().map(|warning| format!("warning: {warning}")));
    lines.push("What this can show:".into());
    lines.extend(statement(of).into_iter().map(|line| format!("  - {line}")));
    lines.extend(note);
    lines.push(String::new());
    print(&lines.join("\n"))
}

fn one(field: &FieldRecord, system: System) -> Vec<String> {
    let (area, mass) = (Area::unit(system).plural(), Mass::unit(system).plural());
    let loads = || count(field.loads, "load", "loads");
    let days = match &field.days {
        Some([first, last]) if first == last => format!("{} on {first}", loads()),
        Some([first, last]) => format!("{} from {first} to {last}", loads()),
        None => "no tickets".to_owned(),
    };
    let mut lines =
        vec![format!("{}: {:.2} {area}, {days}", field.field, field.area), String::new()];
    let of_planned = |value: f64| format!("{:+.1} %", 100.0 * (value / field.planned - 1.0));
    let row = |what: &str, value: f64, note: String| [what.to_owned(), format!("{value:.2}"), note];
    let mut rows = vec![[String::new(), mass.to_owned(), String::new()]];
    rows.push(row("planned", field.planned, String::new()));
    rows.push(row("delivered", field.delivered, String::new()));
    rows.push(row("left", field.left, String::new()));
    if field.loss_percent > 0.0 {
        let note = format!("{} % of the rest, as the job says", field.loss_percent);
        rows.push(row("lost on the way", field.lost, note));
    }
    if let Some(applied) = field.applied {
        rows.push(row("applied, by the controller", applied, of_planned(applied)));
    }
    rows.push(row("spread, by scale", field.spread, of_planned(field.spread)));
    lines.extend(ruled(&rows));
    let Some(near) = field.near else { return lines };
    let rate = Rate::unit(system).symbol();
    let recorded = format!("{area} recorded");
    let within = format!("{area} within 10 %");
    let head = ["zone", "tier", rate, area, &recorded, "planned", "applied", &within];
    let two = |value: f64| format!("{value:.2}");
    let mut zones = vec![head.map(str::to_owned)];
    zones.extend(field.zones.iter().map(|z| {
        let [target, area, recorded] = [z.target, z.area, z.recorded].map(two);
        let [planned, applied, near] = [z.planned, z.applied, z.near].map(two);
        [z.zone.clone(), z.label.clone(), target, area, recorded, planned, applied, near]
    }));
    let sum = |pick: fn(&ZoneRecord) -> f64| two(field.zones.iter().map(pick).sum());
    zones.push([
        "all".into(),
        String::new(),
        String::new(),
        sum(|zone| zone.area),
        sum(|zone| zone.recorded),
        sum(|zone| zone.planned),
        sum(|zone| zone.applied),
        sum(|zone| zone.near),
    ]);
    lines.push(String::new());
    lines.extend(ruled(&zones));
    lines.push(format!("  {near:.1} % of the planned {area} got within 10 % of their rate, by the controller's record."));
    lines.extend(field_lines(field, system));
    lines
}

fn correction(found: &Correction) -> String {
    let kind = match found.was.kind {
        ConstantKind::MassPerPulse => "mass for each pulse",
        ConstantKind::PulsesPerMass => "pulses for each unit of mass",
    };
    format!(
        "Suggested controller constant: {:.4} (in use {}, {kind}): the scale says {:.3} times the controller.",
        found.suggested.value, found.was.value, found.ratio
    )
}
