//! The field sheet: one page that everyone can read, in the office, in the cab, and on paper.
//!
//! It stands by itself: no other file, no network, no script. Text from input files is escaped by the
//! template and kept from turning the line around it (`bdi`).

mod certainty;
mod cut_list;
mod landed;
mod order;
mod pans;
mod provenance;
mod soil;
mod spreader;

use askama::Template;

use self::certainty::{CertaintyPart, SecondLookRow};
use self::cut_list::CutList;
use self::landed::Landed;
use self::order::PileRow;
use self::pans::Pans;
use self::provenance::Input;
use self::soil::NamedValue;
use self::spreader::Spreader;
use super::ReportError;
use super::cautions::{CAUTIONS, PILE_CAUTIONS, outside_the_zones};
use super::landing::lands;
use super::map::{Grounds, LEAST_HEIGHT, Map, has_access, has_layers};
use super::order::pure_rate;
use super::page::{Fact, Position, to_spread};
use super::setup_sheet::CHECKLIST;
use super::text::{kept_distance, short_rate, shortened};
use crate::landing::Landing;
use crate::plan::{About, MoreSamples, Plan};
use crate::report::warnings::line;
use crate::soil::TierIndex;
use crate::spreader::Machine;
use crate::spreader::pans::PanReport;
use crate::tonnage::Amount;
use crate::units::{Area, Mass, Quantity, Rate};

/// Names longer than this are cut: they would take the page from what is to be read.
const LONGEST_NAME: usize = 90;
/// So many rows of tables go on the second printed page at its usual size.
const MOST_ROWS: usize = 50;
/// The rows to be signed with their heading, and the entrance.
const SIGNED: usize = 8;
/// Warnings longer than this are cut; they stand in full in the totals.
const LONGEST_WARNING: usize = 320;
/// At most so many warnings stand on the sheet.
const MOST_WARNINGS: usize = 4;

#[derive(Template)]
#[template(path = "sheet.html")]
#[expect(clippy::struct_excessive_bools, reason = "what the template asks, each by itself")]
struct Sheet {
    kind: &'static str,
    name: String,
    about: Vec<String>,
    facts: Vec<Fact>,
    map: String,
    without_label: usize,
    has_access: bool,
    has_layers: bool,
    rate_unit: &'static str,
    /// Whether the job's rates are pure gypsum, which is said beside those of product.
    has_pure: bool,
    area_unit: &'static str,
    mass_unit: &'static str,
    rates: Vec<RateRow>,
    total: RateRow,
    tons_are: Option<&'static str>,
    /// What to set in the controller for ground that no zone has.
    outside_the_zones: &'static str,
    /// Whether the table of rates has the spreader's fills.
    has_fills: bool,
    order: Vec<NamedValue>,
    piles: CutList<PileRow>,
    /// Where trucks drive in.
    entrance: Option<Position>,
    /// Whether it is known how many trucks go to each.
    has_trucks: bool,
    spreader: Option<Spreader>,
    pans: Option<Pans>,
    landed: Option<Landed>,
    warnings: CutList<String>,
    certainty: Option<CertaintyPart>,
    second_looks: CutList<SecondLookRow>,
    soil: Vec<NamedValue>,
    unspread: CutList<Kept>,
    checklist: &'static [&'static str],
    cautions: &'static [&'static str],
    pile_cautions: &'static [&'static str],
    provenance: Vec<NamedValue>,
    inputs: CutList<Input>,
    /// Whether the second printed page is set smaller, to hold it all.
    is_long: bool,
}

/// A line of the table of rates.
struct RateRow {
    fill: String,
    rate: String,
    /// The pure gypsum in it; empty where the job's rates are product.
    pure: String,
    label: String,
    zones: usize,
    area: String,
    mass: String,
    /// The spreader's fills; empty where they are not known.
    fills: String,
}

/// A cause for which ground is not spread.
struct Kept {
    why: String,
    distance: String,
    area: String,
    /// The highest rate that lands on it and the distance that would keep it clean; both empty where
    /// none lands.
    lands: [String; 2],
}

/// What the sheet tells of beside the plan.
#[derive(Clone, Debug, Default)]
pub struct BesidePlan {
    /// The spreader that it says the settings of.
    pub machine: Option<Machine>,
    /// The catch-pan test that it tells.
    pub pans: Option<PanReport>,
    /// What lands of the plan, where it was reckoned.
    pub landing: Option<Landing>,
    /// What more samples would bring, where it was reckoned.
    pub more_samples: Option<MoreSamples>,
    /// What the plan was made from.
    pub inputs: Vec<InputFile>,
}

/// An input file as it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InputFile {
    /// Its name, as the job has it.
    pub name: String,
    /// The SHA-256 of its content, in hexadecimal digits.
    pub sha256: String,
}

/// The field sheet, as HTML.
///
/// # Errors
/// When a position of the plan has no place on the map, or a picture cannot be drawn.
pub fn field_sheet(plan: &Plan, beside: &BesidePlan) -> Result<String, ReportError> {
    let system = plan.settings.system;
    let mut rates = rates(plan);
    let room = room(&rates);
    let warnings = warnings(plan, room);
    let order = order::rows(plan);
    let map = Map::new(plan, map_height(room, &warnings))?;
    let mut total = rate_row(
        String::new(),
        [const { String::new() }; 2],
        String::new(),
        plan.zones.len(),
        &plan.total,
    );
    let fills = order::fills(plan);
    let has_fills = fills.is_some();
    if let Some((of_tiers, whole)) = fills {
        for (rate, fills) in rates.iter_mut().zip(of_tiers) {
            rate.fills = fills;
        }
        total.fills = whole;
    }
    let mut sheet = Sheet {
        kind: "Field",
        name: shortened(&plan.settings.job, 2 * LONGEST_NAME),
        about: about(plan),
        facts: facts(plan),
        map: map.on_a_page()?,
        without_label: map.without_label(),
        has_access: has_access(plan),
        has_layers: has_layers(plan),
        rate_unit: Rate::unit(system).symbol(),
        has_pure: pure_rate(plan, Rate::ZERO).is_some(),
        area_unit: Area::unit(system).plural(),
        mass_unit: Mass::unit(system).plural(),
        rates,
        total,
        tons_are: system.tons_are(),
        outside_the_zones: outside_the_zones(plan),
        has_fills,
        order,
        piles: order::piles(plan),
        entrance: plan.settings.about.entrance.map(Position::of),
        has_trucks: plan.order.as_ref().is_some_and(|order| !order.piles.is_empty()),
        spreader: beside.machine.as_ref().and_then(|machine| Spreader::new(plan, machine)),
        pans: beside
            .pans
            .as_ref()
            .map(|report| Pans::new(report, beside.machine.as_ref()))
            .transpose()?,
        landed: beside.landing.as_ref().map(|landing| Landed::new(plan, landing)).transpose()?,
        warnings,
        certainty: certainty::certainty_part(plan, beside.more_samples)?,
        second_looks: certainty::second_looks(plan),
        soil: soil::rows(plan),
        unspread: unspread(plan, beside.landing.as_ref()),
        checklist: &CHECKLIST,
        cautions: &CAUTIONS,
        pile_cautions: &PILE_CAUTIONS,
        provenance: provenance::rows(plan),
        inputs: provenance::inputs(&beside.inputs),
        is_long: false,
    };
    sheet.is_long = sheet.second_page_rows() > MOST_ROWS;
    let mut text = sheet.render().map_err(ReportError::new)?;
    text.push('\n');
    Ok(text)
}

impl Sheet {
    /// The rows of the second printed page's tables.
    fn second_page_rows(&self) -> usize {
        let spreader = self.spreader.as_ref().map_or(0, |told| told.rows.len() + told.tiers.len());
        let pans = self.pans.as_ref().map_or(0, |told| told.rows.len());
        // A pile's row has two lines; three input files go on one.
        let piles = 2 * self.piles.shown.len();
        let inputs = self.inputs.shown.len().div_ceil(3);
        // An order's lines run over; then come the entrance and what is signed.
        let lines = |row: &NamedValue| row.value.chars().count().div_ceil(48).max(1);
        let order: usize = self.order.iter().map(lines).sum();
        let told = order + SIGNED + piles + self.second_looks.shown.len() + inputs;
        // Its map and what stands below.
        let landed = if self.landed.is_some() { 14 } else { 0 };
        told + landed
            + spreader
            + pans
            + self.soil.len()
            + self.unspread.shown.len()
            + self.provenance.len()
    }
}

/// What the first printed page has for the map and the warnings, in pixels: a letter sheet has 964
/// within its margins of 12 mm.
fn room(rates: &[RateRow]) -> f64 {
    const PAGE: f64 = 964.0;
    // Head, facts, caption, headings, what to set in the controller, and the gaps between them.
    const AROUND: f64 = 365.0;
    const ROW: f64 = 26.0;
    let lines = |label: &str| label.chars().count().div_ceil(40).max(1) as f64;
    let labels: f64 = rates.iter().map(|rate| ROW + LINE * (lines(&rate.label) - 1.0)).sum();
    PAGE - AROUND - labels
}

/// The letters of a line of text on that page, about, and its height.
const LETTERS: usize = 90;
const LINE: f64 = 17.0;
/// What stands around warnings there: their heading, and how many more there are.
const AROUND_WARNINGS: f64 = 62.0;

/// The gravest warnings, cut where they would take the map its least height.
fn warnings(plan: &Plan, room: f64) -> CutList<String> {
    let lines = (room - LEAST_HEIGHT - AROUND_WARNINGS) / LINE;
    let count = plan.warnings.len().clamp(1, MOST_WARNINGS);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a page's lines, one at least"
    )]
    let each = (lines / count as f64).floor().max(1.0) as usize;
    let longest = (each * LETTERS).min(LONGEST_WARNING);
    let said = |told| shortened(&line(told, plan.settings.system), longest);
    CutList::of(plan.warnings.iter().map(said), MOST_WARNINGS)
}

/// The lines that a text takes on that page, about.
fn lines_of(text: &str) -> f64 {
    text.chars().count().div_ceil(LETTERS).max(1) as f64
}

/// What is left to the map.
fn map_height(room: f64, warnings: &CutList<String>) -> f64 {
    let said: f64 = warnings.shown.iter().map(|warning| LINE * lines_of(warning)).sum();
    let around = if warnings.shown.is_empty() { 0.0 } else { AROUND_WARNINGS };
    room - said - around
}

/// Whose plan it is, and of which day.
fn about(plan: &Plan) -> Vec<String> {
    let About { date, grower, farm, .. } = &plan.settings.about;
    let name = |name: &String| shortened(name, LONGEST_NAME);
    let farm = farm.as_ref().map(|farm| format!("Farm: {}", name(farm)));
    let grower = grower.as_ref().map(|grower| format!("Grower: {}", name(grower)));
    let date = date.map(|date| format!("Plan of {}", date.in_words()));
    [farm, grower, date].into_iter().flatten().collect()
}

fn facts(plan: &Plan) -> Vec<Fact> {
    let system = plan.settings.system;
    let mean = plan.total.mass / plan.total.area;
    let [tons, acres] = to_spread(system);
    let fact = |name, number, unit| Fact { name, number, unit };
    vec![
        fact(tons, format!("{:.2}", plan.total.printed_mass), Mass::unit(system).plural()),
        fact(acres, format!("{:.2}", plan.total.printed_area), Area::unit(system).plural()),
        fact("On average", format!("{:.2}", mean.value_in(system)), Rate::unit(system).symbol()),
        fact("Zones", plan.zones.len().to_string(), ""),
        fact("Soil samples", plan.field.samples.len().to_string(), ""),
    ]
}

fn rates(plan: &Plan) -> Vec<RateRow> {
    let system = plan.settings.system;
    let tiers = plan.tiers.iter().enumerate().map(|(i, (tier, amount))| {
        let zones = plan.zones_of(TierIndex::of(i)).count();
        let shown = |rate: Rate| short_rate(rate.value_in(system));
        let rate = [shown(tier.rate), pure_rate(plan, tier.rate).map(shown).unwrap_or_default()];
        rate_row(Grounds::fill(i), rate, shortened(&tier.label, LONGEST_NAME), zones, amount)
    });
    tiers.collect()
}

fn rate_row(
    fill: String,
    [rate, pure]: [String; 2],
    label: String,
    zones: usize,
    amount: &Amount,
) -> RateRow {
    let (area, mass) = (amount.printed_area, amount.printed_mass);
    RateRow {
        fill,
        rate,
        pure,
        label,
        zones,
        area: format!("{area:.2}"),
        mass: format!("{mass:.2}"),
        fills: String::new(),
    }
}

fn unspread(plan: &Plan, landing: Option<&Landing>) -> CutList<Kept> {
    let system = plan.settings.system;
    let causes = plan.unspread_by_cause().enumerate().map(|(number, (cause, area))| Kept {
        why: shortened(&cause.why, LONGEST_NAME),
        distance: kept_distance(cause.distance, system),
        area: format!("{:.2}", area.value_in(system)),
        lands: landing.map(|landing| lands(plan, landing, number)).unwrap_or_default(),
    });
    CutList::of(causes, 6)
}
