//! The farm's sheet: one page with all fields, which leads to each field's own.

use askama::Template;

use super::cautions::{CAUTIONS, FARM_RANGE};
use super::farm_stops::farm_stops;
use super::map::{FarmMap, Grounds, farm_map};
use super::page::{Fact, Position, to_spread};
use super::text::{legible, short_rate, warnings_counted};
use super::{ReportError, farm_order};
use crate::farm::{FarmTotals, FieldOutcome, TierFigures, printed};
use crate::units::{Area, Mass, Quantity, Rate};

#[derive(Template)]
#[template(path = "farm.html")]
struct Sheet {
    kind: &'static str,
    name: String,
    about: Vec<String>,
    facts: Vec<Fact>,
    area_unit: &'static str,
    mass_unit: &'static str,
    rate_unit: &'static str,
    failures: Vec<Failure>,
    /// Field, and what must be settled before it is spread.
    stops: Vec<(String, String)>,
    /// The fields as they are listed, or the job files of those that failed.
    fields: Vec<Result<FieldRow, String>>,
    whole: Amounts,
    whole_order: OrderCells,
    has_order: bool,
    order: Vec<String>,
    range_note: Option<&'static str>,
    tons_are: Option<&'static str>,
    map: Option<FarmMap>,
    places: Vec<Place>,
    rates: Vec<RateRow>,
    zones: usize,
    cautions: &'static [&'static str],
    program: &'static str,
}

/// A field that could not be planned.
struct Failure {
    file: String,
    why: String,
}

/// A line of the table of fields.
struct FieldRow {
    name: String,
    note: String,
    amounts: Amounts,
    order: OrderCells,
}

/// Mass ordered, trucks, loads, hours, cost and the flat rate's; empty where not known.
type OrderCells = [String; 6];

/// What a field or the farm takes; the ends of the range are empty where they are not known.
struct Amounts {
    area: String,
    mass: String,
    low: String,
    high: String,
    flat: String,
}

/// An entrance or a pile.
struct Place {
    field: String,
    what: String,
    at: Position,
    mass: String,
    trucks: String,
}

/// A line of the table of rates.
struct RateRow {
    fill: String,
    rate: String,
    label: String,
    zones: usize,
    area: String,
    mass: String,
}

/// The sheet, as HTML.
///
/// # Errors
/// When the template cannot be filled.
pub fn farm_sheet(totals: &FarmTotals) -> Result<String, ReportError> {
    let failures = totals.failures().map(|(file, why)| Failure {
        file: legible(file),
        // A message may have several lines.
        why: legible(&why.replace('\n', " ")),
    });
    let whole = amounts(totals.area, totals.mass, totals.range, totals.flat);
    let sheet = Sheet {
        kind: "Farm",
        name: totals.farm.clone(),
        about: Vec::new(),
        facts: facts(totals, &whole),
        area_unit: Area::unit(totals.system).plural(),
        mass_unit: Mass::unit(totals.system).plural(),
        rate_unit: Rate::unit(totals.system).symbol(),
        failures: failures.collect(),
        stops: farm_stops(totals).iter().map(|(of, stop)| (legible(of), legible(stop))).collect(),
        fields: totals.fields.iter().map(field_row).collect(),
        whole,
        whole_order: totals
            .order
            .iter()
            .map(printed::of_farm)
            .map(order_cells)
            .next()
            .unwrap_or_default(),
        has_order: totals.order.is_some(),
        order: farm_order(totals),
        range_note: (totals.fields.iter().flat_map(|field| &field.figures))
            .any(|figures| figures.range.is_some())
            .then_some(FARM_RANGE),
        tons_are: totals.system.tons_are(),
        map: farm_map(totals)?,
        places: totals.fields.iter().flat_map(places).collect(),
        rates: totals.tiers.iter().enumerate().map(rate_row).collect(),
        zones: totals.tiers.iter().map(|tier| tier.zones).sum(),
        cautions: &CAUTIONS,
        program: concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION")),
    };
    let mut text = sheet.render().map_err(ReportError::new)?;
    text.push('\n');
    Ok(text)
}

fn facts(totals: &FarmTotals, whole: &Amounts) -> Vec<Fact> {
    let [area, mass] = [Area::unit(totals.system).plural(), Mass::unit(totals.system).plural()];
    let [tons, acres] = to_spread(totals.system);
    let all = totals.fields.len();
    let planned = format!("{} of {all}", all - totals.failures().count());
    let fact = |name, number, unit| Fact { name, number, unit };
    let mut facts = Vec::new();
    if let Some(order) = &totals.order {
        facts.push(fact("To order", printed::mass(order.ordered), mass));
        if let Some(ends) = order.range {
            let [low, high] = ends.map(printed::mass);
            facts.push(fact("The maps take (4 in 5)", format!("{low} to {high}"), mass));
        }
        if let Some(deliveries) = &order.deliveries {
            facts.push(fact("Deliveries", deliveries.count.to_string(), ""));
        }
    }
    facts.push(fact(tons, whole.mass.clone(), mass));
    if totals.range.is_some() {
        let range = format!("{} to {}", whole.low, whole.high);
        facts.push(fact("If all ground got its soil’s rate (4 in 5)", range, mass));
    }
    facts.push(fact(acres, whole.area.clone(), area));
    facts.push(fact("Fields planned", planned, ""));
    facts
}

fn field_row(field: &FieldOutcome) -> Result<FieldRow, String> {
    let Ok(figures) = &field.figures else { return Err(legible(&field.file)) };
    Ok(FieldRow {
        name: figures.job.clone(),
        note: warnings_counted(figures.warnings).unwrap_or_default(),
        amounts: amounts(figures.area, figures.mass, figures.range, figures.flat),
        order: figures
            .order
            .iter()
            .map(printed::of_field)
            .map(order_cells)
            .next()
            .unwrap_or_default(),
    })
}

fn order_cells(of: [String; 9]) -> OrderCells {
    let [ordered, _, _, trucks, loads, least, most, cost, flat] = of;
    let hours = if least.is_empty() { least } else { format!("{least} – {most}") };
    [ordered, trucks, loads, hours, cost, flat]
}

fn amounts(area: f64, mass: f64, range: Option<[f64; 2]>, flat: f64) -> Amounts {
    let [low, high] = range.map_or_else(Default::default, |ends| ends.map(printed::mass));
    Amounts {
        area: printed::area(area),
        mass: printed::mass(mass),
        low,
        high,
        flat: printed::mass(flat),
    }
}

/// Where trucks drive in and dump.
fn places(field: &FieldOutcome) -> Vec<Place> {
    let Ok(figures) = &field.figures else { return Vec::new() };
    let place = |what: String, at, mass: String, trucks: String| {
        let field = figures.job.clone();
        Place { field, what, at: Position::of(at), mass, trucks }
    };
    let none = String::new;
    let entrance = field.map.entrance.map(|at| place("entrance".to_owned(), at, none(), none()));
    let piles = field.map.piles.iter().map(|pile| {
        let trucks = pile.trucks.map_or_else(none, |trucks| trucks.to_string());
        place(format!("pile {}", pile.number), pile.at, printed::mass(pile.mass), trucks)
    });
    entrance.into_iter().chain(piles).collect()
}

fn rate_row((number, tier): (usize, &TierFigures)) -> RateRow {
    RateRow {
        fill: Grounds::fill(number),
        rate: short_rate(tier.rate),
        label: tier.label.clone(),
        zones: tier.zones,
        area: printed::area(tier.area),
        mass: printed::mass(tier.mass),
    }
}
