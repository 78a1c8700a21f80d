//! GeoJSON as it is, with what departs from RFC 7946.

use geojson::{Feature, GeoJson};
use serde_json::Value;

use super::{FORMAT, add, columns, declared, parse};
use crate::read::format::WantedContent;
use crate::read::records::Record;
use crate::read::zone_file::{Cell, ZoneFile, ZoneShape};
use crate::read::{ReadError, Source};

pub(super) fn zone_file(source: &Source, _: &WantedContent) -> Result<ZoneFile, ReadError> {
    let json = parse(source)?;
    let mut departures = Vec::new();
    let crs = match declared(source, &json) {
        Ok(found) => {
            if let Some(by) = &found.by {
                departures
                    .push(format!("{by} says {}: RFC 7946 has WGS 84 only", found.crs.name()));
            }
            Some(found.crs)
        }
        Err(error) => {
            departures.push(error.to_string());
            None
        }
    };
    let features = match json {
        GeoJson::FeatureCollection(collection) => collection.features,
        GeoJson::Feature(feature) => vec![feature],
        GeoJson::Geometry(geometry) => {
            departures.push("it is a bare geometry: it has no rate".to_owned());
            vec![Feature { geometry: Some(geometry), ..Feature::default() }]
        }
    };
    let columns = columns(&features);
    let mut shapes = Vec::new();
    for (number, feature) in (1..).zip(&features) {
        let place = format!("feature {number}");
        let Some(geometry) = &feature.geometry else {
            departures.push(format!("{place} has no geometry"));
            continue;
        };
        let kind = format!("a {}", geometry.value.type_name());
        let mut record =
            Record { place: format!("{}, {place}", source.name), kind, ..Record::default() };
        add(&geometry.value, &record.place, &mut record.pieces)?;
        let parts = record.polygons()?.unwrap_or_default();
        let cell = |key: &String| feature.properties.as_ref().and_then(|all| all.get(key));
        let cells = columns.iter().map(|key| cell(key).map_or(Cell::Empty, cell_of)).collect();
        shapes.push(ZoneShape { place, parts, cells });
    }
    Ok(ZoneFile {
        format: FORMAT.called,
        exterior_is_counter_clockwise: Some(true),
        columns,
        shapes,
        crs,
        departures,
        ..ZoneFile::default()
    })
}

fn cell_of(value: &Value) -> Cell {
    match value {
        Value::Null => Cell::Empty,
        Value::Number(number) => number.as_f64().map_or(Cell::Empty, Cell::Number),
        Value::String(text) if text.trim().is_empty() => Cell::Empty,
        Value::String(text) => Cell::Text(text.clone()),
        other => Cell::Text(other.to_string()),
    }
}
