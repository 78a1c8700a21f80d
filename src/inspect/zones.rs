//! Zones as polygons with a rate each: GeoJSON and shapefiles.

use geo::Coord;

use super::geometry::{degrees, polygons};
use super::rate::{RateSetting, Rates};
use super::report::{Inspection, SeenZone};
use super::tiling::tiling;
use crate::geometry::geodesic_area;
use crate::projection::Crs;
use crate::read::{Cell, ReadError, Source, ZoneFile, ZoneShape, zone_file};
use crate::units::{Quantity, Rate, System};

/// More gypsum than this, in ton/ac, is more likely a wrong unit (common practice; no source).
const MOST_TONS: f64 = 20.0;

/// Looks at a zone file.
///
/// # Errors
/// When it cannot be read at all, holds something else than polygons, or states another unit than
/// the setting does.
pub fn zones(source: &Source, setting: &RateSetting) -> Result<Inspection, ReadError> {
    let mut file = zone_file(source, setting.layer.as_deref())?;
    let mut report = Inspection {
        file: source.name.clone(),
        format: file.format.to_owned(),
        departures: std::mem::take(&mut file.departures),
        ..Inspection::default()
    };
    if file.shapes.is_empty() {
        report.departures.push("there is no zone".into());
    }
    let in_degrees = in_degrees(&mut file, &mut report);
    let rates = Rates::of(&file, setting, &mut report.departures);
    let label = ["zone", "name", "label", "id"]
        .into_iter()
        .find_map(|name| file.columns.iter().position(|column| column.eq_ignore_ascii_case(name)));
    let mut drawn = Vec::new();
    for shape in &file.shapes {
        let name = name(shape, label);
        if let Some([said, stated]) = rates.conflict(shape) {
            return Err(ReadError::Unexpected {
                place: format!("{}, {}", source.name, shape.place),
                found: format!("rates in {} and --unit {}", stated.symbol(), said.symbol()),
                expected: "the file's own unit; leave --unit out".to_owned(),
            });
        }
        let found = rates.at(shape, &mut report.departures);
        report.rate_unit = report.rate_unit.or(found.unit);
        if let Some(rate) = found.rate.filter(|rate| *rate > Rate::tons_per_acre(MOST_TONS)) {
            let rate = rate.show(System::Us, 2);
            report.notes.push(format!("{}: the rate is {rate}; is the unit right?", shape.place));
        }
        let parts = shape.parts.len();
        if parts > 1 {
            report.departures.push(format!(
                "{}: it has {parts} parts; some controllers read the first one only",
                shape.place
            ));
        }
        let counter_clockwise = file.exterior_is_counter_clockwise;
        let sound = polygons(&shape.place, &shape.parts, counter_clockwise, &mut report.departures);
        let sound = sound.filter(|_| in_degrees);
        let area = sound.as_ref().map(|parts| parts.iter().map(geodesic_area).sum());
        drawn.extend(sound.into_iter().flatten().map(|part| (shape.place.clone(), part)));
        report.zones.push(SeenZone { name, rate: found.rate, written: found.written, parts, area });
    }
    report.notes.extend(left_out(&source.name, &file.no_polygons));
    let tiling = tiling(&drawn, None);
    report.departures.extend(tiling.departures);
    report.notes.extend(tiling.notes);
    Ok(report)
}

/// What is in the file beside zones: a plan's KML has its piles and ditches too.
fn left_out(file: &str, places: &[String]) -> Option<String> {
    const NAMED: usize = 5;
    let (first, others) = places.split_at(places.len().min(NAMED));
    let own = |place: &String| place.trim_start_matches(file).trim_start_matches(", ").to_owned();
    let told = first.iter().map(own).collect::<Vec<_>>().join(", ");
    let more = others.len();
    let told = if more > 0 { format!("{told} and {more} more") } else { told };
    (!places.is_empty()).then(|| format!("{file}: not polygons, so no zones, and left out: {told}"))
}

fn name(shape: &ZoneShape, label: Option<usize>) -> String {
    match label.and_then(|column| shape.cells.get(column)) {
        Some(Cell::Number(number)) => number.to_string(),
        Some(Cell::Text(text)) => text.clone(),
        Some(Cell::Empty) | None => shape.place.clone(),
    }
}

/// Puts the positions into longitude and latitude; whether they are there.
fn in_degrees(file: &mut ZoneFile, report: &mut Inspection) -> bool {
    let assumed = Crs::wgs84();
    let crs = file.crs.as_ref().unwrap_or(&assumed);
    report.crs = match &file.crs {
        Some(crs) => crs.name().to_owned(),
        None => "not said; taken as WGS 84 longitude and latitude".to_owned(),
    };
    let rings = || file.shapes.iter().flat_map(|shape| shape.parts.iter().flatten().flatten());
    if crs.is_geographic()
        && let Err(reason) = degrees(rings().copied())
    {
        report.departures.push(format!("{reason}; there are no areas"));
        return false;
    }
    let mut coords: Vec<Coord<f64>> = rings().copied().filter(|at| is_number(*at)).collect();
    if let Err(error) = crs.to_wgs84(&mut coords) {
        report.departures.push(format!("{error}; there are no areas"));
        return false;
    }
    if !crs.is_geographic() {
        report.departures.push(format!(
            "the coordinates are in {}: controllers take WGS 84 longitude and latitude",
            crs.name()
        ));
    }
    let mut converted = coords.into_iter();
    for shape in &mut file.shapes {
        for at in shape.parts.iter_mut().flatten().flatten().filter(|at| is_number(**at)) {
            if let Some(degrees) = converted.next() {
                *at = degrees;
            }
        }
    }
    true
}

fn is_number(at: Coord<f64>) -> bool {
    at.x.is_finite() && at.y.is_finite()
}
