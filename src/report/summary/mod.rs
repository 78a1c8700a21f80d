//! What is printed about a plan, a farm, and what was spread.

mod driven;
mod farm;
mod order;
mod reconcile;
mod soil;

use std::fmt::{Display, Write as _};

pub use farm::{failures, farm_summary};
pub use reconcile::reconcile_summary;

use super::cautions::{CAUTIONS, outside_the_zones};
use super::map::shares;
use super::order::flat_rate;
use super::surface::{method, setting};
use super::table::ruled;
use super::text::kept_distance;
use super::tons_if_certain::tons_if_certain;
use super::{pile_summary, warnings};
use crate::plan::{Method, Plan};
use crate::soil::TierIndex;
use crate::tonnage::MASS_DECIMALS;
use crate::units::{Area, Mass, Quantity, Rate, count, round_to, told_apart};
use crate::warning::{Gravity, Warning};

/// The tiers, the total, what to heed, and where the files are; `beside` is what is told of what lands and
/// of the task data.
#[must_use]
pub fn plan_summary(
    plan: &Plan,
    beside: &[String],
    folder: impl Display,
    files: &[&str],
) -> String {
    // What can spoil a field comes before its figures, so that nobody misses it.
    let (grave, others): (Vec<_>, Vec<_>) =
        plan.warnings.iter().partition(|warning| warning.gravity() == Gravity::Stop);
    let told = |warning: &Warning| warnings::line(warning, plan.settings.system);
    let mut lines: Vec<String> = grave.into_iter().map(told).collect();
    if !lines.is_empty() {
        lines.push(String::new());
    }
    lines.extend([heading(plan), String::new()]);
    lines.extend(tiers(plan));
    lines.extend(plan.settings.system.tons_are().map(str::to_owned));
    lines.push(String::new());
    lines.extend(told_of_plan(plan));
    lines.extend(beside.iter().cloned());
    lines.extend(others.into_iter().map(told));
    lines.push(String::new());
    lines.push("Before you spread:".into());
    lines.extend(CAUTIONS.iter().map(|caution| format!("  - {caution}")));
    lines.push(String::new());
    lines.push(format!("Files in {folder}: {}", files.join(", ")));
    lines.push(String::new());
    lines.join("\n")
}

/// What is told of a plan beside its figures and warnings, a line each.
#[must_use]
pub fn told_of_plan(plan: &Plan) -> Vec<String> {
    let mut lines = vec![flat(plan), surface(plan)];
    lines.extend(certainty(plan));
    lines.extend(clean_up(plan));
    lines.extend(unspread(plan));
    lines.push(outside_the_zones(plan).to_owned());
    lines.extend(soil::lines(plan));
    lines.extend(order::lines(plan));
    lines.extend(pile_summary(plan));
    lines.extend(excluded(plan));
    lines
}

fn heading(plan: &Plan) -> String {
    let system = plan.settings.system;
    let samples = &plan.field.samples;
    let cec = samples.iter().map(|sample| sample.cec);
    let low = cec.clone().fold(f64::INFINITY, f64::min);
    let high = cec.fold(f64::NEG_INFINITY, f64::max);
    let area = plan.total.printed_area;
    let unit = Area::unit(system).plural();
    format!(
        "{}: {area:.2} {unit}, {}, CEC {low:.1} to {high:.1} meq/100 g",
        plan.settings.job,
        count(samples.len(), "sample", "samples"),
    )
}

/// The table of tiers, numbers to the right.
fn tiers(plan: &Plan) -> Vec<String> {
    let system = plan.settings.system;
    let (area, mass) = (Area::unit(system).plural(), Mass::unit(system).plural());
    let rate = Rate::unit(system).symbol();
    let mut rows =
        vec![vec!["tier".to_owned(), rate.into(), "zones".into(), area.into(), mass.into()]];
    for (i, (tier, amount)) in plan.tiers.iter().enumerate() {
        let zones = plan.zones_of(TierIndex::of(i)).count();
        rows.push(vec![
            tier.label.clone(),
            format!("{:.2}", tier.rate.value_in(system)),
            zones.to_string(),
            format!("{:.2}", amount.printed_area),
            format!("{:.2}", amount.printed_mass),
        ]);
    }
    rows.push(vec![
        "whole field".into(),
        String::new(),
        plan.zones.len().to_string(),
        format!("{:.2}", plan.total.printed_area),
        format!("{:.2}", plan.total.printed_mass),
    ]);
    // Rates of pure gypsum go right beside those of product.
    if let Some(pure) = order::pure_rates(plan) {
        let pure = pure.iter().map(|pure| format!("{:.2}", pure.value_in(system)));
        let column = std::iter::once("pure gypsum".to_owned()).chain(pure).chain([String::new()]);
        for (row, cell) in rows.iter_mut().zip(column) {
            row.insert(2, cell);
        }
    }
    ruled(&rows)
}

fn flat(plan: &Plan) -> String {
    let system = plan.settings.system;
    format!(
        "One rate for the whole field would take {} ({}). The map's tons spread evenly are {}.",
        plan.flat.mass.show(system, 2),
        flat_rate(plan),
        plan.flat.even.show(system, 2),
    )
}

/// How the surface was chosen, and how well it predicts.
fn surface(plan: &Plan) -> String {
    let report = &plan.surface;
    let mut text = format!("CEC by {}", method(report));
    if let Some(errors) = report.errors() {
        let _ = write!(
            text,
            "; typical error {:.1} CEC points (leave-one-out RMSE; mean error {:+.2}, R2 {:.2})",
            errors.rmse, errors.mean_error, errors.r2_against_mean,
        );
    }
    // Another setting is worth a word only if its figure differs where it is printed.
    let own = report.errors().map_or(f64::NAN, |errors| errors.rmse);
    let against = |other: f64| {
        told_apart(own, other, 1..=3).map(|[own_told, other]| {
            let this = if own_told == format!("{own:.1}") {
                String::new()
            } else {
                format!(", this {own_told}")
            };
            format!("would give {other}{this}")
        })
    };
    let usual = report
        .choice
        .default
        .filter(|usual| report.method == Method::InverseDistance && usual.idw != report.choice.idw);
    if let Some((usual, told)) = usual.and_then(|usual| Some((usual, against(usual.errors.rmse)?)))
    {
        let _ = write!(text, "; {} {told}", setting(&usual.idw));
    }
    let kriging = report.better_kriging().and_then(|kriging| against(kriging.errors.rmse));
    if let Some(told) = kriging {
        let _ = write!(text, "; kriging {told}: set method = \"kriging\" in [surface]");
    }
    text + "."
}

/// The percentage of the field that is clearly in its rate, whole; none where it is not known.
#[must_use]
pub fn clear_percent(plan: &Plan) -> Option<f64> {
    let certainty = plan.certainty.as_ref()?;
    shares(certainty).first().map(|surest| surest.percent)
}

/// How sure the map is.
fn certainty(plan: &Plan) -> Option<String> {
    let certainty = plan.certainty.as_ref()?;
    let system = plan.settings.system;
    let share = clear_percent(plan).unwrap_or(0.0);
    let (low, high) = (certainty.tons.low, certainty.tons.high);
    let tons = tons_if_certain(low, high, plan.total.printed_mass, system);
    let ground =
        if plan.field.set_areas.is_empty() { "the field" } else { "the ground with a rate by CEC" };
    Some(format!("{share:.0} % of {ground} is clearly in its rate (4 in 5 or surer). {tons}"))
}

fn clean_up(plan: &Plan) -> Option<String> {
    let done = plan.cleaned_up.as_ref()?;
    let system = plan.settings.system;
    let moved: Vec<String> = (plan.tiers.iter().zip(&done.tiers))
        .zip(done.printed_areas(system))
        .map(|(((tier, _), change), area)| {
            let mass = round_to(change.mass.value_in(system), MASS_DECIMALS);
            let (acres, tons) = (Area::unit(system).plural(), Mass::unit(system).plural());
            format!("{} {area:+.2} {acres} {mass:+.2} {tons}", tier.label)
        })
        .collect();
    let keep =
        if done.islands.count > 0 { " islands = \"keep\" in [zones] keeps islands." } else { "" };
    Some(format!("Zones {}; {}.{keep}", super::clean_up::clean_up(plan)?, moved.join(", ")))
}

/// What is left out, by cause; the distance is the job's, not a rule's.
fn unspread(plan: &Plan) -> Vec<String> {
    let system = plan.settings.system;
    let mut lines: Vec<String> = plan
        .unspread_by_cause()
        .map(|(keep_out, area)| {
            let (area, distance) = (area.show(system, 2), kept_distance(keep_out.distance, system));
            format!("Not spread: {area} within {distance} of {}.", keep_out.why)
        })
        .collect();
    if !lines.is_empty() {
        lines.push("The distances are the job's own: check local rules.".to_owned());
    }
    lines
}

fn excluded(plan: &Plan) -> Option<String> {
    let ids: Vec<&str> = plan.field.excluded.iter().map(|sample| sample.id.as_str()).collect();
    (!ids.is_empty()).then(|| format!("Samples left out by the job: {}.", ids.join(", ")))
}
