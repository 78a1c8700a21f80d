//! What lands, as `totals.json` has it.

use crate::landing::{KeptOut, Landed, Landing, Logged, WiderKeepOut, ZoneLanded};
use crate::plan::Plan;
use crate::timelog::MassSource;
use crate::totals::{
    InUnits, Key, Landed as Figures, LandedApart, LandedKeptOut, LandedMass, LandedZone,
    Landing as Written, Logged as WrittenLogged,
};
use crate::units::{Area, Length, Mass, Quantity, Rate, Speed, System, percentages, round_to};

/// The figures of a landed map.
#[must_use]
pub fn landing(plan: &Plan, landing: &Landing) -> Written {
    let system = plan.settings.system;
    Written {
        heading_degrees: round_to(landing.heading().to_degrees().rem_euclid(180.0), 1),
        headland_rounds: landing.course.rounds,
        ground_speed: round_to(landing.course.speed.value_in(system), 2),
        ground_speed_unit: Speed::unit(system).symbol().to_owned(),
        swath: length(landing.course.swath, system),
        cell: length(Length::metres(landing.cells.side), system),
        length_unit: Length::unit(system).symbol().to_owned(),
        pattern_measured: landing.spreading.throw.is_measured(),
        look_ahead_s: round_to(landing.spreading.response.lead.as_seconds(), 2),
        best_look_ahead_s: landing.lead.map(|best| round_to(best.setting.as_seconds(), 2)),
        landed: figures(plan, &landing.landed, &landing.wider),
    }
}

/// The figures of what landed by logs; `warnings` is what is to be known of these.
#[must_use]
pub fn logged(plan: &Plan, logged: &Logged, warnings: Vec<String>) -> WrittenLogged {
    let system = plan.settings.system;
    let known_by = logged.by.iter().map(|by| match by {
        MassSource::Rate => "rate",
        MassSource::Flow => "flow",
        MassSource::Totals => "totals",
        MassSource::Set => "set",
    });
    WrittenLogged {
        logs: logged.logs,
        known_by: known_by.map(str::to_owned).collect(),
        cell: length(Length::metres(logged.cells.side), system),
        length_unit: Length::unit(system).symbol().to_owned(),
        pattern_measured: logged.spreading.throw.is_measured(),
        landed: figures(plan, &logged.landed, &[]),
        by_map: LandedApart {
            short: mass(logged.by_map.short, system),
            over: mass(logged.by_map.over, system),
        },
        warnings,
    }
}

fn figures(plan: &Plan, landed: &Landed, wider: &[WiderKeepOut]) -> Figures {
    let system = plan.settings.system;
    let verdicts = percentages(&[landed.within_a_tenth, landed.too_little, landed.too_much], 1);
    let verdict = |number: usize| verdicts.get(number).copied().unwrap_or_default();
    let kept_out = landed.kept_out.iter();
    Figures {
        zones: landed.zones.iter().map(|zone| of_zone(zone, system)).collect(),
        within_10_percent: verdict(0),
        too_little_percent: verdict(1),
        too_much_percent: verdict(2),
        short: mass(landed.short, system),
        over: mass(landed.over, system),
        outside: LandedMass { landed: mass(landed.outside, system) },
        kept_out: kept_out.filter_map(|one| of_keep_out(plan, wider, one)).collect(),
    }
}

fn of_zone(zone: &ZoneLanded, system: System) -> LandedZone {
    let area = Area::square_metres(zone.area).value_in(system);
    LandedZone {
        zone: zone.zone,
        area: InUnits::new(round_to(area, 2), system),
        planned: mass(zone.planned, system),
        landed: mass(zone.landed, system),
        cv_percent: round_to(100.0 * zone.cv, 1),
        within_10_percent: percent(zone.within_a_tenth, zone.area),
    }
}

fn of_keep_out(plan: &Plan, wider: &[WiderKeepOut], one: &KeptOut) -> Option<LandedKeptOut> {
    let system = plan.settings.system;
    let keep_out = plan.field.keep_outs.get(one.number)?;
    let wider = wider.iter().find(|wider| wider.number == one.number);
    let wider = wider.and_then(|wider| wider.as_it_is);
    Some(LandedKeptOut {
        why: keep_out.why.clone(),
        distance: length(keep_out.distance, system),
        landed: mass(one.landed, system),
        highest_rate: round_to(Rate::from_si(one.highest).value_in(system), 3),
        rate_unit: Rate::unit(system).symbol().to_owned(),
        distance_needed: wider.map(|wider| length(keep_out.distance + wider, system)),
    })
}

fn mass<K: Key<Quantity = Mass>>(kg: f64, system: System) -> InUnits<K> {
    InUnits::new(round_to(Mass::from_si(kg).value_in(system), 2), system)
}

fn length(length: Length, system: System) -> f64 {
    round_to(length.value_in(system), 2)
}

fn percent(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { round_to(100.0 * part / whole, 1) } else { 0.0 }
}
