//! What is printed about fields held against their records.

use super::driven::{field_lines, machine_lines};
use crate::reconcile::{Correction, FieldRecord, Reconciliation, ZoneRecord, statement};
use crate::report::table::ruled;
use crate::spreader::machine::ConstantKind;
use crate::units::{Area, Mass, Quantity, Rate, System, count};

/// Each field's record, the constant, and what all this can show.
#[must_use]
pub fn reconcile_summary(of: &Reconciliation, warnings: &[String], note: Option<String>) -> String {
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
    lines.join("\n")
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
