//! What is printed about a plan.

use std::io::{self, Write};
use std::path::Path;

use landplaster::cautions::CAUTIONS;
use landplaster::plan::Plan;
use landplaster::units::{Area, Mass, Quantity, Rate};
use landplaster::write::Output;
use landplaster::write::taskdata::Report;
use serde_json::Value;

use super::failure::Failure;

/// Prints the content of `totals.json`.
pub fn json(totals: &Value) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(totals).map_err(|e| Failure::Write(e.to_string()))?;
    print(&format!("{text}\n"))
}

/// Prints the tiers, the total, what to heed, and where the files are.
pub fn table(plan: &Plan, folder: &Path, output: &Output) -> Result<(), Failure> {
    let mut lines = vec![heading(plan), String::new()];
    lines.extend(tiers(plan));
    lines.push(String::new());
    lines.push(flat(plan));
    lines.extend(output.task_data.iter().flat_map(Report::lines));
    for warning in &plan.field.warnings {
        lines.push(format!("warning: {warning}"));
    }
    lines.push(String::new());
    lines.push("Before you spread:".into());
    lines.extend(CAUTIONS.iter().map(|caution| format!("  - {caution}")));
    lines.push(String::new());
    let names: Vec<&str> = output.files.iter().map(|file| file.name.as_str()).collect();
    lines.push(format!("Files in {}: {}", folder.display(), names.join(", ")));
    lines.push(String::new());
    print(&lines.join("\n"))
}

fn heading(plan: &Plan) -> String {
    let system = plan.settings.system;
    let samples = &plan.field.samples;
    let cec = samples.iter().map(|sample| sample.cec);
    let low = cec.clone().fold(f64::INFINITY, f64::min);
    let high = cec.fold(f64::NEG_INFINITY, f64::max);
    let area = plan.total.printed_area;
    let unit = Area::unit(system).symbol();
    format!(
        "{}: {area:.2} {unit}, {} samples, CEC {low:.1} to {high:.1} meq/100 g",
        plan.settings.job,
        samples.len()
    )
}

/// The table of tiers, numbers to the right.
fn tiers(plan: &Plan) -> Vec<String> {
    let system = plan.settings.system;
    let (area, mass) = (Area::unit(system).symbol(), Mass::unit(system).symbol());
    let rate = Rate::unit(system).symbol();
    let mut rows = vec![["tier".into(), rate.into(), "zones".into(), area.into(), mass.into()]];
    for (i, (tier, amount)) in plan.tiers.iter().enumerate() {
        let zones = plan.zones.iter().filter(|zone| zone.tier == i).count();
        rows.push([
            tier.label.clone(),
            format!("{:.2}", tier.rate.value_in(system)),
            zones.to_string(),
            format!("{:.2}", amount.printed_area),
            format!("{:.2}", amount.printed_mass),
        ]);
    }
    rows.push([
        "whole field".into(),
        String::new(),
        plan.zones.len().to_string(),
        format!("{:.2}", plan.total.printed_area),
        format!("{:.2}", plan.total.printed_mass),
    ]);
    let width = |column: usize| {
        rows.iter()
            .filter_map(|row| row.get(column))
            .map(|cell| cell.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..5).map(width).collect();
    let line = |row: &[String; 5]| {
        let cells = row.iter().zip(&widths).enumerate().map(|(i, (cell, &width))| {
            if i == 0 { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
        });
        format!("  {}", cells.collect::<Vec<_>>().join("  ")).trim_end().to_owned()
    };
    let rule = format!("  {}", "-".repeat(widths.iter().sum::<usize>() + 2 * (widths.len() - 1)));
    let mut lines: Vec<String> = rows.iter().map(line).collect();
    lines.insert(1, rule.clone());
    lines.insert(lines.len() - 1, rule);
    lines
}

fn flat(plan: &Plan) -> String {
    let system = plan.settings.system;
    format!(
        "One rate for the whole field, {} at its mean CEC of {:.1}, would take {}.",
        plan.flat.rate.show(system, 2),
        plan.flat.cec_mean,
        plan.flat.mass.show(system, 2),
    )
}

pub fn print(text: &str) -> Result<(), Failure> {
    match io::stdout().lock().write_all(text.as_bytes()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(Failure::Write(format!("standard output: {error}"))),
        Ok(()) => Ok(()),
    }
}
