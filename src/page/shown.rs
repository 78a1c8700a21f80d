//! What a person sees of a plan: figures as `totals.json` has them, the map, and what can be changed.

use geo::{Contains, Coord, Point};
use serde::Serialize;

use super::Planned;
use crate::certainty::tier_odds;
use crate::geometry::OutOfReach;
use crate::job::{HeadingEntry, Job};
use crate::path_text::shown;
use crate::plan::{Method, Plan, ZoneRow};
use crate::report::summary::{clear_percent, told_of_plan};
use crate::report::{PlanningMap, ReportError, short_rate};
use crate::soil::{TierSetting, Tiers};
use crate::totals::Totals;
use crate::units::{Area, Haul, Length, Mass, Quantity, Rate, round_to};
use crate::write::plan_totals;

/// The most bars of the acres by CEC.
const MOST_BARS: usize = 72;

/// What is shown of a planned job.
#[derive(Debug, Serialize)]
pub struct Shown<'a> {
    /// The figures.
    pub totals: Totals,
    /// The percentage of the field that is clearly in its rate.
    pub clear_percent: Option<f64>,
    /// What else is told, a line each.
    pub told: Vec<String>,
    /// The map.
    pub map: &'a PlanningMap,
    /// The area at each CEC.
    pub by_cec: ByCec,
    /// The tiers as the job writes them.
    pub tiers: Vec<TierShown>,
    /// The samples, in the order of their file, those left out after the others.
    pub samples: Vec<SampleShown>,
    /// What is kept from.
    pub keep_outs: Vec<EntryShown>,
    /// Areas whose rate is set.
    pub set_rates: Vec<EntryShown>,
    /// The pile.
    pub pile: Option<PileShown>,
    /// The other settings; null where the job leaves them to what is usual.
    pub settings: SettingsShown,
    /// The units of the figures.
    pub units: UnitsShown,
}

/// Bars of area.
#[derive(Debug, Serialize)]
pub struct ByCec {
    /// Where the first bar begins, meq/100 g.
    pub from: f64,
    /// How wide a bar is.
    pub step: f64,
    /// The area of each, acres or hectares.
    pub areas: Vec<f64>,
}

/// A tier as written.
#[derive(Debug, Serialize)]
pub struct TierShown {
    /// Its own label, if it has one.
    pub label: Option<String>,
    /// The CEC that it ends at; null for the highest.
    pub end: Option<f64>,
    /// The rate as written, in the units of the job.
    pub rate: f64,
}

/// A sample.
#[derive(Debug, Serialize)]
pub struct SampleShown {
    /// Its name.
    pub id: String,
    /// Its CEC, if it has one.
    pub cec: Option<f64>,
    /// Whether it is left out.
    pub is_out: bool,
    /// What its neighbors say, where it does not fit them.
    pub neighbors_say: Option<f64>,
    /// What the field takes more with it than without it, where it does not fit.
    pub tons: Option<f64>,
    /// Where it lies on the map.
    pub at: [f64; 2],
}

/// An entry of one of the job's lists.
#[derive(Debug, Serialize)]
pub struct EntryShown {
    /// What it is.
    pub why: String,
    /// Its file.
    pub file: String,
    /// Its distance or rate.
    pub value: String,
}

/// The pile.
#[derive(Debug, Serialize)]
pub struct PileShown {
    /// Where it can be taken hold of on the map; null for several piles or none.
    pub at: Option<[f64; 2]>,
    /// Whether the job names its place.
    pub is_named: bool,
    /// What speaks against the place that is named; empty where a pile may lie.
    pub faults: Vec<String>,
    /// The loaded travel.
    pub travel: String,
    /// What that is against the best place, in percent more; null where that is not known.
    pub more_percent: Option<f64>,
}

/// Settings as written.
#[derive(Debug, Serialize)]
pub struct SettingsShown {
    pub swath: Option<String>,
    pub hole_setback: Option<String>,
    pub clean_up: bool,
    pub min_zone: Option<String>,
    pub min_width: Option<String>,
    pub heading: Option<String>,
    pub is_kriging: bool,
    pub margin: Option<String>,
    pub delivery: Option<String>,
}

/// What the figures' units are called.
#[derive(Debug, Serialize)]
pub struct UnitsShown {
    pub area: &'static str,
    pub mass: &'static str,
    pub rate: &'static str,
    pub length: &'static str,
    pub tons_are: Option<&'static str>,
}

/// What is known of a place.
#[derive(Debug, Serialize)]
pub struct AtPlace {
    /// Latitude and longitude as a phone takes them.
    pub place: [String; 2],
    /// Whether it is in the field.
    pub is_inside: bool,
    /// The CEC there, meq/100 g.
    pub cec: Option<String>,
    /// How far it may be off, two times in three.
    pub likely_error: Option<String>,
    /// The odds of each tier, percent.
    pub odds: Vec<f64>,
    /// The zone's number.
    pub zone: Option<usize>,
    /// The zone's tier, from 1.
    pub tier: Option<usize>,
    /// Whether its rate is set, whatever the CEC.
    pub is_set: bool,
    /// What the tier is called.
    pub label: Option<String>,
    /// The rate there.
    pub rate: Option<String>,
    /// The zone's area.
    pub area: Option<String>,
    /// The zone's material.
    pub mass: Option<String>,
    /// Why nothing is spread there.
    pub kept_out: Option<String>,
}

impl<'a> Shown<'a> {
    /// What is shown of a plan and the job that it is of.
    ///
    /// # Errors
    /// When something has no place on the map.
    pub fn new(planned: &'a Planned, job: &Job) -> Result<Self, ShownError> {
        let Planned { surfaced, plan, .. } = planned;
        let map = planned.map()?;
        let system = plan.settings.system;
        let by_surface = plan.tiers.iter().take(plan.settings.tiers.tiers().len());
        let by_surface: Area = by_surface.map(|(_, amount)| amount.area).sum();
        let by_cec = surfaced.area_by_cec(by_surface, MOST_BARS);
        let areas = by_cec.areas.iter().map(|area| round_to(area.value_in(system), 3));
        Ok(Self {
            totals: plan_totals(plan),
            clear_percent: clear_percent(plan),
            told: told_of_plan(plan),
            map,
            by_cec: ByCec { from: by_cec.from, step: by_cec.step, areas: areas.collect() },
            tiers: written_tiers(job).iter().map(|tier| TierShown::new(tier, plan)).collect(),
            samples: samples(plan, map)?,
            keep_outs: job.keep_out.iter().map(EntryShown::keep_out).collect(),
            set_rates: job.set_rate.iter().map(EntryShown::set_rate).collect(),
            pile: pile(plan).map(|pile| PileShown { at: pile_at(plan, map), ..pile }),
            settings: SettingsShown::of(job),
            units: UnitsShown {
                area: Area::unit(system).plural(),
                mass: Mass::unit(system).plural(),
                rate: Rate::unit(system).symbol(),
                length: Length::unit(system).symbol(),
                tons_are: system.tons_are(),
            },
        })
    }
}

/// The tiers as the job writes them, or the usual ones.
#[must_use]
pub fn written_tiers(job: &Job) -> Vec<TierSetting> {
    if job.tier.is_empty() { Tiers::common_practice_written() } else { job.tier.clone() }
}

impl TierShown {
    fn new(tier: &TierSetting, plan: &Plan) -> Self {
        let rate = tier.rate.value.value_in(plan.settings.system);
        Self { label: tier.label.clone(), end: tier.to.or(tier.under), rate: round_to(rate, 4) }
    }
}

fn samples(plan: &Plan, map: &PlanningMap) -> Result<Vec<SampleShown>, OutOfReach> {
    let system = plan.settings.system;
    let pixel = |at: Coord<f64>| {
        let at = map.pixel(at);
        [round_to(at.x, 1), round_to(at.y, 1)]
    };
    let mut all: Vec<SampleShown> = (plan.field.samples.iter())
        .map(|sample| {
            let look = plan.second_looks.iter().find(|look| look.id == sample.id);
            SampleShown {
                id: sample.id.clone(),
                cec: Some(sample.cec),
                is_out: false,
                neighbors_say: look.map(|look| round_to(look.neighbors_say, 1)),
                tons: look.map(|look| round_to(look.mass.value_in(system), 2)),
                at: pixel(sample.position),
            }
        })
        .collect();
    for sample in &plan.field.excluded {
        let at = plan.field.boundary.frame().to_local(sample.wgs84)?;
        let (id, cec, at) = (sample.id.clone(), sample.cec, pixel(at));
        all.push(SampleShown { id, cec, is_out: true, neighbors_say: None, tons: None, at });
    }
    Ok(all)
}

impl EntryShown {
    fn keep_out(entry: &crate::job::KeepOutEntry) -> Self {
        let file = shown(&entry.file);
        Self { why: entry.why.clone(), file, value: entry.distance.to_string() }
    }

    fn set_rate(entry: &crate::job::SetRateEntry) -> Self {
        let file = shown(&entry.file);
        Self { why: entry.why.clone(), file, value: entry.rate.to_string() }
    }
}

/// The figures of a change that is tried, without what takes longer.
#[derive(Debug, Serialize)]
pub struct Tried {
    totals: Totals,
    clear_percent: Option<f64>,
    pile: Option<PileShown>,
}

impl Tried {
    /// The figures of a plan.
    #[must_use]
    pub fn new(plan: &Plan) -> Self {
        Self { totals: plan_totals(plan), clear_percent: clear_percent(plan), pile: pile(plan) }
    }
}

/// Why a plan cannot be shown.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ShownError {
    /// A place is nowhere.
    #[error(transparent)]
    Place(#[from] OutOfReach),
    /// The map cannot be drawn.
    #[error(transparent)]
    Map(#[from] ReportError),
}

/// Where the only pile, or the place that the job names, can be taken hold of.
fn pile_at(plan: &Plan, map: &PlanningMap) -> Option<[f64; 2]> {
    let stockpile = plan.stockpile.as_ref()?;
    let only = stockpile.piles.first().filter(|_| stockpile.piles.len() == 1);
    let named = stockpile.named.as_ref().map(|named| &named.spot);
    let at = map.pixel(named.or(only.map(|pile| &pile.spot))?.position);
    Some([at.x, at.y])
}

fn pile(plan: &Plan) -> Option<PileShown> {
    let (stockpile, system) = (plan.stockpile.as_ref()?, plan.settings.system);
    let named = stockpile.named.as_ref();
    let travel = named.map_or_else(|| stockpile.travel(), |named| named.travel);
    let best = named.and_then(|named| named.best).filter(|best| *best > Haul::ZERO);
    Some(PileShown {
        at: None,
        is_named: named.is_some(),
        faults: named.map(|named| named.spot.faults(system)).unwrap_or_default(),
        travel: travel.show(system, 2),
        more_percent: best.map(|best| round_to(100.0 * (travel / best - 1.0), 1)),
    })
}

impl SettingsShown {
    fn of(job: &Job) -> Self {
        let order = job.order.as_ref();
        Self {
            swath: job.swath.map(|written| written.to_string()),
            hole_setback: job.hole_setback.map(|written| written.to_string()),
            clean_up: job.zones.clean_up != Some(false),
            min_zone: job.zones.min_zone.map(|written| written.to_string()),
            min_width: job.zones.min_width.map(|written| written.to_string()),
            heading: job.zones.heading.map(|heading| match heading {
                HeadingEntry::Degrees(degrees) => degrees.to_string(),
                HeadingEntry::Longest => "longest".to_owned(),
            }),
            is_kriging: job.surface.method == Method::Kriging,
            margin: order.and_then(|order| order.margin).map(|written| written.to_string()),
            delivery: order.and_then(|order| order.delivery).map(|written| written.to_string()),
        }
    }
}

impl AtPlace {
    /// What is known of a pixel of the map.
    ///
    /// # Errors
    /// When it has no longitude and latitude.
    pub fn new(planned: &Planned, x: f64, y: f64) -> Result<Self, ShownError> {
        let Planned { surfaced, plan, .. } = planned;
        let (at, system) = (planned.map()?.place(x, y), plan.settings.system);
        let wgs84 = plan.field.boundary.frame().to_wgs84(at)?;
        let point = Point(wgs84);
        let is_inside = plan.field.boundary.local().contains(&Point(at));
        let zone = plan.zones.iter().find(|zone| zone.polygon.contains(&point));
        let kept_out = plan.unspread.iter().find(|piece| piece.polygon.contains(&point));
        let truth = surfaced.truth_at(at).filter(|_| is_inside);
        let odds = truth.map(|truth| tier_odds(truth, &plan.settings.tiers)).unwrap_or_default();
        let row = zone.map(|zone| ZoneRow::of(plan, zone));
        let shown = |value: f64, unit: &str| format!("{value:.2} {unit}");
        Ok(Self {
            place: [wgs84.y, wgs84.x].map(|degrees| format!("{degrees:.5}")),
            is_inside,
            cec: is_inside.then(|| format!("{:.1}", surfaced.cec_at(at))),
            likely_error: truth.map(|truth| format!("{:.1}", truth.sd)),
            odds: odds.iter().map(|odds| (100.0 * odds).round()).collect(),
            zone: zone.map(|zone| zone.number),
            tier: zone.map(|zone| zone.tier.number()),
            is_set: zone.is_some_and(|zone| plan.settings.tiers.is_set(zone.tier)),
            label: row.as_ref().map(|row| row.label.to_owned()),
            rate: row.as_ref().map(|row| format!("{} {}", short_rate(row.rate), row.rate_unit)),
            area: row.as_ref().map(|row| shown(row.area, Area::unit(system).plural())),
            mass: row.as_ref().map(|row| shown(row.mass, Mass::unit(system).plural())),
            kept_out: kept_out.map(|piece| piece.why.clone()),
        })
    }
}
