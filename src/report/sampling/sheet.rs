use askama::Template;

use super::steps::{CAUTIONS, steps};
use super::summary::way;
use super::{depth, nearness, promise};
use crate::report::ReportError;
use crate::report::map::SamplingMap;
use crate::report::page::{Fact, Position};
use crate::report::text::legible;
use crate::sampling::{SampledField, SamplingPlan};
use crate::units::{Area, Quantity, System};

#[derive(Template)]
#[template(path = "sampling.html")]
struct Sheet {
    kind: &'static str,
    name: String,
    about: Vec<String>,
    facts: Vec<Fact>,
    map: String,
    /// What the map's signs mean, of those that are on it.
    signs: Vec<&'static str>,
    cautions: &'static [&'static str],
    steps: Vec<String>,
    samples: Vec<Row>,
    depth: String,
    cores: usize,
    way: String,
    made: Vec<String>,
    program: &'static str,
}

/// A sample's line.
struct Row {
    walk: usize,
    id: String,
    at: Position,
}

/// The page that goes to the field: map, samples in walking order, how to take and bag them, labels.
///
/// # Errors
/// When the map cannot be drawn or the template not be filled.
pub fn sampling_sheet(plan: &SamplingPlan) -> Result<String, ReportError> {
    let field = &plan.field;
    let system = field.system;
    let area = Area::unit(system).plural();
    let row = |(walk, sample): (usize, &crate::sampling::PlannedSample)| Row {
        walk,
        id: legible(&sample.id),
        at: Position::of(sample.wgs84),
    };
    let (long, unit) = match system {
        System::Us => (plan.walk.as_miles(), "miles"),
        System::Metric => (plan.walk.as_kilometres(), "km"),
    };
    let deep = depth(field.taking, system);
    let (numbers, deep_unit) = deep.split_once(' ').unwrap_or((&deep, ""));
    let deep_unit = if deep_unit == "cm" { "cm" } else { "in" };
    let facts = vec![
        Fact { name: "Samples", number: plan.samples.len().to_string(), unit: "" },
        Fact {
            name: "Each for",
            number: format!("{:.2}", plan.area_each().value_in(system)),
            unit: area,
        },
        Fact { name: "Cores a sample", number: field.taking.cores.to_string(), unit: "" },
        Fact { name: "Depth", number: numbers.replace('-', " to "), unit: deep_unit },
        Fact { name: "To walk", number: format!("{long:.1}"), unit },
    ];
    let sheet = Sheet {
        kind: "Sampling",
        name: legible(&field.name),
        about: Vec::new(),
        facts,
        map: SamplingMap::new(plan)?.on_a_page()?,
        signs: signs(field),
        cautions: &CAUTIONS,
        steps: steps(plan),
        samples: (1..).zip(&plan.samples).map(row).collect(),
        depth: deep,
        cores: field.taking.cores,
        way: way(plan),
        made: nearness(plan)
            .into_iter()
            .chain(promise(plan))
            .map(|line| line.trim_start_matches("Layout: ").to_owned())
            .collect(),
        program: concat!("landplaster ", env!("CARGO_PKG_VERSION")),
    };
    sheet.render().map_err(ReportError::new)
}

fn signs(field: &SampledField) -> Vec<&'static str> {
    let mut signs = Vec::new();
    if field.gate.is_some() {
        signs.push("Diamond: the gate");
    }
    if !field.taken.is_empty() {
        signs.push("Open dots: samples taken already");
    }
    if field.ground.allowed() != field.ground.spread() {
        signs.push("Darker ground: no sample is taken there, near an edge or what is avoided");
    }
    if !field.keep_outs.is_empty() {
        signs.push("White with a red edge: keep-out areas");
    }
    signs
}
