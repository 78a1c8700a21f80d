//! What is printed about a farm.

use std::fmt::Display;

use crate::farm::{FarmTotals, Figures};
use crate::report::cautions::{CAUTIONS, FARM_RANGE};
use crate::report::farm_order;
use crate::report::farm_stops::farm_stops;
use crate::report::table::ruled;
use crate::report::text::warnings_counted;
use crate::totals::Unmet;
use crate::units::{Area, Mass, Quantity, Rate, count};

/// All fields and what they come to; `kept` says which were left as they were, `out` is the
/// folder of the fields' folders, `folder` the farm's own.
#[must_use]
pub fn farm_summary(
    totals: &FarmTotals,
    kept: &[bool],
    out: impl Display,
    folder: impl Display,
) -> String {
    let mut lines = stops(totals);
    lines.extend([heading(totals, kept), String::new()]);
    lines.extend(fields(totals, kept));
    lines.push(String::new());
    lines.extend(tiers(totals));
    lines.extend(totals.system.tons_are().map(str::to_owned));
    lines.push(String::new());
    if totals.range.is_some() {
        lines.push(FARM_RANGE.into());
    }
    lines.push("flat: one rate for each whole field, that of its mean CEC.".into());
    lines.extend(farm_order(totals));
    lines.push(String::new());
    lines.extend(unmet(totals));
    lines.push("Before you spread:".into());
    lines.extend(CAUTIONS.iter().map(|caution| format!("  - {caution}")));
    lines.push(String::new());
    let farm = format!("{folder}: farm.json, farm.csv, farm.html");
    lines.push(if totals.failures().count() == totals.fields.len() {
        format!("No field was planned; the farm's files are in {farm}")
    } else {
        format!(
            "Each field's files are in its folder in {out}, with its warnings in totals.json; the farm's are in {farm}"
        )
    });
    lines.push(String::new());
    lines.join("\n")
}

/// What can spoil a field comes before all figures.
fn stops(totals: &FarmTotals) -> Vec<String> {
    let stops = farm_stops(totals).into_iter();
    let lines: Vec<String> = stops.map(|(of, stop)| format!("STOP: {of}: {stop}")).collect();
    let gap = (!lines.is_empty()).then(String::new);
    lines.into_iter().chain(gap).collect()
}

/// Fields and samples that do not meet.
fn unmet(totals: &FarmTotals) -> Vec<String> {
    const SHOWN: usize = 20;
    let Unmet { fields, samples, notes } = &totals.unmet;
    let mut lines: Vec<String> = notes.iter().map(|note| format!("Note: {note}")).collect();
    if !fields.is_empty() {
        let found = count(fields.len(), "field has", "fields have");
        lines.push(format!("Look: {found} no samples and no plan: {}", fields.join(", ")));
    }
    if !samples.is_empty() {
        lines.push("Look: samples of no field, in no plan:".to_owned());
        lines.extend(samples.iter().take(SHOWN).map(|sample| format!("  {sample}")));
        let more = samples.len().saturating_sub(SHOWN);
        lines.extend((more > 0).then(|| format!("  and {more} more, in farm.json")));
    }
    if !lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

/// The fields that failed, with why.
#[must_use]
pub fn failures(totals: &FarmTotals) -> Option<String> {
    let failed: Vec<String> =
        totals.failures().map(|(file, error)| format!("\n  {file}: {error}")).collect();
    (!failed.is_empty()).then(|| {
        format!(
            "{} of {} fields could not be planned; what was planned of them before is left as it was{}",
            failed.len(),
            totals.fields.len(),
            failed.concat()
        )
    })
}

fn heading(totals: &FarmTotals, kept: &[bool]) -> String {
    let kept = kept.iter().filter(|kept| **kept).count();
    let failed = totals.failures().count();
    let planned = totals.fields.len() - kept - failed;
    format!(
        "{}: {}, {planned} planned, {kept} unchanged since the last run, {failed} failed",
        totals.farm,
        count(totals.fields.len(), "field", "fields"),
    )
}

fn fields(totals: &FarmTotals, kept: &[bool]) -> Vec<String> {
    let system = totals.system;
    let (area, mass) = (Area::unit(system).plural(), Mass::unit(system).plural());
    let ordered = totals.order.is_some();
    let row = |name: &str, amounts: [String; 5], order: [String; 2], note: String| {
        let order = order.into_iter().filter(|_| ordered);
        let mut row: Vec<String> =
            [name.to_owned()].into_iter().chain(amounts).chain(order).collect();
        row.push(note);
        row
    };
    let head = [area, mass, "low", "high", "flat"].map(str::to_owned);
    let order = ["order", "trucks"].map(str::to_owned);
    let mut rows = vec![row("field", head, order, String::new())];
    for (field, kept) in totals.fields.iter().zip(kept) {
        rows.push(if let Ok(f) = &field.figures {
            let order = f.order.as_ref().map(|o| (o.ordered, o.trucks.map(|t| t.count)));
            row(&f.job, amounts(f.area, f.mass, f.range, f.flat), cells(order), note(f, *kept))
        } else {
            row(&field.file, Default::default(), Default::default(), "failed".to_owned())
        });
    }
    let whole = amounts(totals.area, totals.mass, totals.range, totals.flat);
    let order = totals.order.as_ref().map(|o| (o.ordered, o.deliveries.map(|d| d.count)));
    rows.push(row("whole farm", whole, cells(order), String::new()));
    ruled(&rows)
}

fn amounts(area: f64, mass: f64, range: Option<[f64; 2]>, flat: f64) -> [String; 5] {
    let two = |value: f64| format!("{value:.2}");
    let [low, high] = range.map_or_else(Default::default, |ends| ends.map(two));
    [two(area), two(mass), low, high, two(flat)]
}

/// What is ordered and its trucks.
fn cells(order: Option<(f64, Option<usize>)>) -> [String; 2] {
    let Some((ordered, trucks)) = order else { return Default::default() };
    [format!("{ordered:.2}"), trucks.map(|count| count.to_string()).unwrap_or_default()]
}

fn note(figures: &Figures, kept: bool) -> String {
    let warnings = warnings_counted(figures.warnings);
    let kept = kept.then(|| "unchanged".to_owned());
    kept.into_iter().chain(warnings).collect::<Vec<_>>().join(", ")
}

fn tiers(totals: &FarmTotals) -> Vec<String> {
    let system = totals.system;
    let (area, mass) = (Area::unit(system).plural(), Mass::unit(system).plural());
    let mut rows =
        vec![["tier", Rate::unit(system).symbol(), "zones", area, mass].map(str::to_owned)];
    rows.extend(totals.tiers.iter().map(|tier| {
        let [rate, area, mass] =
            [tier.rate, tier.area, tier.mass].map(|value| format!("{value:.2}"));
        [tier.label.clone(), rate, tier.zones.to_string(), area, mass]
    }));
    let zones: usize = totals.tiers.iter().map(|tier| tier.zones).sum();
    let [area, mass] = [totals.area, totals.mass].map(|value| format!("{value:.2}"));
    rows.push(["whole farm".into(), String::new(), zones.to_string(), area, mass]);
    ruled(&rows)
}
