//! What landed by the machines' logs, in words.

use super::lines::{evenness, misplaced, outside, pattern, zones};
use crate::landing::{Logged, TRACE};
use crate::plan::Plan;
use crate::report::warnings::{in_all, on_keep_out};
use crate::timelog::MassSource;
use crate::units::{Mass, Quantity, Rate, System, count};

/// All that is printed about what landed by logs.
#[must_use]
pub fn logged(plan: &Plan, logged: &Logged) -> Vec<String> {
    let system = plan.settings.system;
    let by: Vec<&str> = logged.by.iter().copied().map(known_by).collect();
    let mut lines = vec![
        format!("{}: what landed by the log", plan.settings.job),
        format!(
            "{} in {}, known by {}.",
            logged.mass.show(system, 2),
            count(logged.logs, "log", "logs"),
            by.join(" and "),
        ),
        pattern(&logged.spreading.throw, &logged.cells, system),
        String::new(),
    ];
    lines.extend(zones(&logged.landed, system));
    lines.push(String::new());
    lines.extend(kept_out(plan, logged, system));
    lines.push(evenness(&logged.landed));
    lines.push(misplaced(&logged.landed, system));
    lines.push(followed(logged, system));
    lines.extend(outside(&logged.landed, system));
    lines.push(CAUTION.to_owned());
    lines
}

const CAUTION: &str = "Where the material fell between the logged positions is reckoned from the pan test; wind and slopes add to it.";

fn known_by(by: MassSource) -> &'static str {
    match by {
        MassSource::Rate => "measured mass per area",
        MassSource::Flow => "measured mass flow",
        MassSource::Totals => "the machine's counts of mass",
        MassSource::Set => "the rate that was set, for nothing was measured",
    }
}

/// What landed where nothing may.
fn kept_out<'a>(
    plan: &'a Plan,
    logged: &'a Logged,
    system: System,
) -> impl Iterator<Item = String> + 'a {
    let dirty = logged.landed.kept_out.iter().filter(|one| one.highest > TRACE);
    dirty.filter_map(move |one| {
        let keep_out = plan.field.keep_outs.get(one.number)?;
        Some(format!(
            "Look: on the keep-out {} landed up to {}{}.",
            keep_out.why,
            on_keep_out(Rate::from_si(one.highest), system),
            in_all(Mass::from_si(one.landed), system),
        ))
    })
}

/// What the same way would have come to.
fn followed(logged: &Logged, system: System) -> String {
    let tons = |kg: f64| Mass::from_si(kg).show(system, 1);
    format!(
        "MassSource the map on the same way, the spreader answering as its file says: {} in the wrong place; by the log {}.",
        tons(logged.by_map.misplaced()),
        tons(logged.landed.misplaced()),
    )
}
