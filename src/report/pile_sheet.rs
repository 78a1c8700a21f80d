//! The piles in plain words.

use crate::plan::{Plan, printed_tons, printed_zones};
use crate::report::Table;
use crate::report::cautions::PILE_CAUTIONS;
use crate::report::warnings::line;
use crate::stockpile::{Clearance, Named, Pile, Spot, Stockpile, mean_way};
use crate::units::{Area, Haul, Length, Mass, Quantity, System};
use crate::warning::Gravity;

/// A sentence or two on the piles for the summary of a plan; nothing where none are asked for or
/// none may lie, of which there is a warning.
#[must_use]
pub fn pile_summary(plan: &Plan) -> Vec<String> {
    let Some(stockpile) = &plan.stockpile else { return Vec::new() };
    let system = plan.settings.system;
    let tons = printed_tons(plan, stockpile);
    let mass = Mass::unit(system).plural();
    let line = |(pile, tons): (&Pile, f64)| {
        let tight = pile.spot.tightest().map_or_else(String::new, |clearance| {
            let [found, asked] = clearance.shown(system);
            format!("; {found} from {}, {asked} required", clearance.why)
        });
        format!(
            "Pile {}: {tons:.2} {mass} at {}, {}, loaded travel {}{tight}.",
            pile.number,
            degrees(&pile.spot),
            size(pile, system),
            pile.travel.show(system, 2),
        )
    };
    let mut lines: Vec<String> = stockpile.piles.iter().zip(tons).map(line).collect();
    if !lines.is_empty() {
        lines
            .push("Pile setbacks are the job's own or common practice: local rules govern.".into());
    }
    lines
}

/// All about the piles of a plan, with what to heed; nothing where none are asked for.
#[must_use]
pub fn pile_sheet(plan: &Plan) -> String {
    let Some(stockpile) = &plan.stockpile else { return String::new() };
    let system = plan.settings.system;
    let mut parts = vec![format!("{}: {}\n\n", plan.settings.job, heading(plan, stockpile))];
    let grave = plan.warnings.iter().filter(|warning| warning.gravity() == Gravity::Stop);
    let grave: String = grave.map(|warning| line(warning, system) + "\n").collect();
    if !grave.is_empty() {
        parts.push(grave + "\n");
    }
    if let Some(named) = &stockpile.named {
        parts.push(named_place(named, system));
    }
    if let Some(miss) = &stockpile.nearest_miss {
        parts.push(format!(
            "The best place is at {} (latitude, longitude): {}.\n\n{}\n",
            degrees(miss),
            miss.faults(system).join("; "),
            distances(miss, system),
        ));
    }
    let tons = printed_tons(plan, stockpile);
    for (pile, tons) in stockpile.piles.iter().zip(tons) {
        let unit = Mass::unit(system).plural();
        let way = mean_way(pile.travel, pile.mass)
            .map_or_else(String::new, |way| format!(", {} on average", way.show(system, 0)));
        parts.push(format!(
            "Pile {}: {tons:.2} {unit} at {} (latitude, longitude)\n  {} at first, with all that is delivered\n  loaded travel {}{way}\n",
            pile.number,
            degrees(&pile.spot),
            size(pile, system),
            pile.travel.show(system, 2),
        ));
        if stockpile.piles.len() > 1 {
            let zones = printed_zones(plan, pile, tons).into_iter();
            let zones: Vec<String> =
                zones.map(|(zone, tons)| format!("{zone} ({tons:.2} {unit})")).collect();
            parts.push(format!("  for zones {}\n", zones.join(", ")));
        }
        parts.push(format!("\n{}\n", distances(&pile.spot, system)));
    }
    parts.push(format!(
        "The middle of a pile may lie on {}.\n{}\n\n",
        ground(stockpile, system),
        heap(plan)
    ));
    parts.extend(system.tons_are().map(|said| format!("{said}\n\n")));
    parts.push("Before the first truck:\n".to_owned());
    for caution in PILE_CAUTIONS {
        parts.push(format!("  - {caution}\n"));
    }
    parts.concat()
}

/// How large a pile is.
#[must_use]
pub fn size(pile: &Pile, system: System) -> String {
    let (width, height) = (pile.cone.width().show(system, 0), pile.cone.height.show(system, 0));
    format!("{width} wide and {height} high")
}

/// What the size of piles is taken from.
fn heap(plan: &Plan) -> String {
    let heap = plan.settings.piles.map(|asked| asked.heap).unwrap_or_default();
    format!(
        "A pile is taken as one cone of {}, lying at {:.0} degrees.",
        heap.density.show(plan.settings.system, 0),
        heap.repose.as_degrees(),
    )
}

fn heading(plan: &Plan, stockpile: &Stockpile) -> String {
    let (system, mass) = (plan.settings.system, plan.total.printed_mass);
    let unit = Mass::unit(system).plural();
    match stockpile.piles.len() {
        0 => format!("no place in this field meets the setbacks for a pile of {mass:.2} {unit}"),
        1 => format!("one pile of {mass:.2} {unit}"),
        count => format!(
            "{count} piles of {mass:.2} {unit} together, loaded travel {}",
            stockpile.travel().show(system, 2)
        ),
    }
}

fn named_place(named: &Named, system: System) -> String {
    let verdict = if named.spot.is_allowed() {
        "passes".to_owned()
    } else {
        format!("fails: {}", named.spot.faults(system).join("; "))
    };
    let against = named.best.filter(|best| *best > Haul::ZERO).map_or_else(String::new, |best| {
        let (best_shown, more) = (best.show(system, 2), 100.0 * (named.travel / best - 1.0));
        format!(", {more:+.1} % against {best_shown} from the best place")
    });
    format!(
        "The named place {} (latitude, longitude) {verdict}.\nLoaded travel from there: {}{against}.\n\n{}\n",
        degrees(&named.spot),
        named.travel.show(system, 2),
        distances(&named.spot, system),
    )
}

/// The distances of a place as a table.
fn distances(spot: &Spot, system: System) -> String {
    if spot.setbacks.is_empty() && spot.access.is_none() {
        return "Nothing is known that a pile must keep from: this place is not checked.\n"
            .to_owned();
    }
    let unit = Length::unit(system).symbol();
    let mut table = Table::new([
        ("from the edge of the pile to", ""),
        ("required", unit),
        ("actual", unit),
        ("", ""),
    ]);
    let bare = |text: &str| text.trim_end_matches(unit).trim_end().to_owned();
    let mut row = |clearance: &Clearance, limit: &str, holds: bool, spare: Option<Length>| {
        let [found, asked] = clearance.shown(system);
        let verdict = if holds { "passes" } else { "fails" };
        let by = spare.map_or_else(String::new, |spare| {
            let spare = Length::metres(spare.as_metres().abs());
            format!(" by {}", spare.show(system, 1))
        });
        let why = format!("{} ({limit})", clearance.why);
        table.row([why, bare(&asked), bare(&found), format!("{verdict}{by}")]);
    };
    for setback in &spot.setbacks {
        let limit = if setback.is_stated { "at least" } else { "at least, common practice" };
        row(setback, limit, setback.is_kept(), setback.to_spare());
    }
    if let Some(access) = &spot.access {
        row(access, "at most", access.is_reached(), access.to_spare());
    }
    table.text()
}

fn ground(stockpile: &Stockpile, system: System) -> String {
    let area = stockpile.allowed_area();
    if area <= Area::ZERO {
        return "no part of the field".to_owned();
    }
    let pieces = stockpile.allowed.0.len();
    let pieces = if pieces > 1 { format!(" in {pieces} pieces") } else { String::new() };
    format!("{}{pieces} of the field", area.show(system, 2))
}

fn degrees(spot: &Spot) -> String {
    // As a phone takes them; the files have all digits.
    format!("{:.5}, {:.5}", spot.wgs84.y, spot.wgs84.x)
}
