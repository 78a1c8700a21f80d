//! Treatment zones and their rates.

use geo::Polygon;

use super::shape;
use crate::inspect::rate::unit;
use crate::inspect::report::Inspection;
use crate::read::taskdata::Element;
use crate::units::{Quantity, Rate, Unit};

/// ISO 11783-11, DDI 6: setpoint mass per area application rate, mg/m².
pub(super) const SETPOINT: u32 = 6;

/// A treatment zone.
pub(super) struct Treatment {
    pub code: u32,
    pub name: String,
    /// Its setpoint.
    pub rate: Option<Rate>,
    /// Its setpoint as written.
    pub written: String,
    /// The numbers of what it sets, in order, as hexadecimal.
    pub sets: Vec<Option<u32>>,
    /// Whether it has polygons, sound or not.
    pub shaped: bool,
    pub polygons: Vec<Polygon<f64>>,
}

/// The rate that a setpoint stands for.
pub(super) fn of_setpoint(value: i32) -> Rate {
    Rate::milligrams_per_square_metre(f64::from(value))
}

/// The treatment zones of a task; the report takes the units that they are shown in.
pub(super) fn treatments(
    root: &Element,
    task: &Element,
    report: &mut Inspection,
) -> Vec<Treatment> {
    report.rate_unit = presentation(root, task, &mut report.departures);
    let mut found: Vec<Treatment> = Vec::new();
    for zone in task.all("TZN") {
        let code: Option<u32> = zone.get("A").and_then(|code| code.parse().ok());
        let Some(code) = code.filter(|code| *code <= 254) else {
            let said = zone.get("A").unwrap_or("none");
            report
                .departures
                .push(format!("a treatment zone has the code {said}, expected 0 to 254"));
            continue;
        };
        if found.iter().any(|other| other.code == code) {
            report.departures.push(format!("there are two treatment zones {code}"));
            continue;
        }
        found.push(treatment(zone, code, &mut report.departures));
    }
    found
}

fn treatment(zone: &Element, code: u32, departures: &mut Vec<String>) -> Treatment {
    let place = format!("zone {code}");
    let name = zone.get("B").unwrap_or("").to_owned();
    let number = |text: &str| u32::from_str_radix(text, 16).ok();
    let variables: Vec<&Element> = zone.all("PDV").collect();
    let sets: Vec<Option<u32>> = variables.iter().map(|v| v.get("A").and_then(number)).collect();
    let setpoint = variables.iter().zip(&sets).find(|(_, ddi)| **ddi == Some(SETPOINT));
    let (mut rate, mut written) = (None, "-".to_owned());
    match setpoint.and_then(|(variable, _)| variable.get("B")) {
        None => departures.push(format!("{place}: it sets no mass per area (PDV with DDI 0006)")),
        Some(text) => {
            text.clone_into(&mut written);
            match text.parse::<i32>() {
                Ok(value) if value >= 0 => rate = Some(of_setpoint(value)),
                _ => departures.push(format!(
                    "{place}: the setpoint is {text}, expected a whole number of mg/m2 from 0 to {}",
                    i32::MAX
                )),
            }
        }
    }
    let mut polygons = Vec::new();
    for outline in zone.all("PLN") {
        if outline.get("A") != Some("2") {
            let kind = outline.get("A").unwrap_or("none");
            departures
                .push(format!("{place}: a polygon of type {kind}, expected 2 (treatment zone)"));
        }
        polygons.extend(shape::polygons(&place, outline, departures).into_iter().flatten());
    }
    let shaped = zone.all("PLN").next().is_some();
    Treatment { code, name, rate, written, sets, shaped, polygons }
}

/// The units that a controller shows the rates in; what they say must be what they mean.
fn presentation(
    root: &Element,
    task: &Element,
    departures: &mut Vec<String>,
) -> Option<&'static Unit> {
    let mut variables = task.all("TZN").flat_map(|zone| zone.all("PDV"));
    let reference = variables.find_map(|variable| variable.get("E"))?;
    let shown = root.all("VPN").find(|shown| shown.get("A") == Some(reference))?;
    let said = shown.get("E").unwrap_or("");
    let Some(unit) = unit(said) else {
        departures.push(format!(
            "{reference}: the rates are shown in \"{said}\", which is no unit of a rate"
        ));
        return None;
    };
    let expected = 1.0 / Rate::from_si(unit.si).as_milligrams_per_square_metre();
    let number = |attribute| shown.get(attribute).and_then(|text| text.parse::<f64>().ok());
    let (offset, scale) = (number("B").unwrap_or(f64::NAN), number("C").unwrap_or(f64::NAN));
    // Half of the last digit that a rate of 100 ton/ac would show.
    let right = offset == 0.0 && (scale / expected - 1.0).abs() < 5e-6;
    if !right {
        departures.push(format!(
            "{reference}: rates are shown as (mg/m2 + {offset}) x {scale} {said}, expected (mg/m2 + 0) x {expected:.12}"
        ));
    }
    Some(unit)
}
