mod zone_file;

use std::collections::BTreeSet;

use geo::Coord;
use geojson::{Feature, FeatureCollection, GeoJson, GeometryValue, JsonObject, Position};
use serde_json::Value;

use super::budget::Budget;
use super::format::{Format, Tabular, WantedContent};
use super::records::{Record, Records, ShapePart};
use super::reference::Declared;
use super::table::Table;
use super::zone_file::Cell;
use super::{ReadError, Source, modus, text};
use crate::projection::Crs;

/// GeoJSON (RFC 7946), in WGS84 unless an old-style `crs` member names another system.
pub(super) const FORMAT: Format = Format {
    called: "GeoJSON",
    extensions: &["geojson", "json"],
    records: Some(records),
    table: Some(Tabular::Perhaps(results)),
    zone_file: Some(zone_file::zone_file),
};

/// Every feature with its properties; a bare geometry is a record without any.
fn records(source: &Source, _: &WantedContent, budget: &mut Budget) -> Result<Records, ReadError> {
    let json = parse(source)?;
    let declared = Some(declared(source, &json)?);
    let (features, bare) = match json {
        GeoJson::FeatureCollection(FeatureCollection { features, .. }) => (features, false),
        GeoJson::Feature(feature) => (vec![feature], false),
        GeoJson::Geometry(geometry) => {
            (vec![Feature { geometry: Some(geometry), ..Feature::default() }], true)
        }
    };
    let columns = columns(&features);
    let mut records = Vec::new();
    for (number, feature) in (1..).zip(features) {
        let place =
            if bare { source.name.clone() } else { format!("{}, feature {number}", source.name) };
        let mut record = Record { place, ..Record::default() };
        if let Some(geometry) = &feature.geometry {
            record.kind = format!("a {}", geometry.value.type_name());
            add(&geometry.value, &record.place, &mut record.pieces)?;
        }
        let properties = feature.properties.unwrap_or_default();
        let value = |key: &String| match properties.get(key).map(cell) {
            None => Cell::Empty,
            Some(text) if text.is_empty() => Cell::Empty,
            Some(text) => Cell::Text(text),
        };
        budget.take(&source.name, record.size() + columns.len() * size_of::<Cell>())?;
        record.cells = columns.iter().map(value).collect();
        records.push(record);
    }
    Ok(Records { columns, all: records, declared, warnings: Vec::new() })
}

/// The names of all properties, in the order in which they come.
fn columns(features: &[Feature]) -> Vec<String> {
    let mut known = BTreeSet::new();
    let keys = features.iter().flat_map(|f| f.properties.iter().flat_map(JsonObject::keys));
    keys.filter(|key| known.insert(key.as_str())).cloned().collect()
}

/// What a geometry is made of.
fn add(value: &GeometryValue, place: &str, pieces: &mut Vec<ShapePart>) -> Result<(), ReadError> {
    let at = |at: &Position| position(at, place);
    let line = |line: &Vec<Position>| line.iter().map(at).collect::<Result<Vec<_>, _>>();
    let area = |rings: &Vec<Vec<Position>>| rings.iter().map(line).collect::<Result<_, _>>();
    match value {
        GeometryValue::Point { coordinates } => pieces.push(ShapePart::Point(at(coordinates)?)),
        GeometryValue::MultiPoint { coordinates } => {
            for point in coordinates {
                pieces.push(ShapePart::Point(at(point)?));
            }
        }
        GeometryValue::LineString { coordinates } => {
            pieces.push(ShapePart::Line(line(coordinates)?));
        }
        GeometryValue::MultiLineString { coordinates } => {
            for part in coordinates {
                pieces.push(ShapePart::Line(line(part)?));
            }
        }
        GeometryValue::Polygon { coordinates } => pieces.push(ShapePart::Area(area(coordinates)?)),
        GeometryValue::MultiPolygon { coordinates } => {
            for part in coordinates {
                pieces.push(ShapePart::Area(area(part)?));
            }
        }
        GeometryValue::GeometryCollection { geometries } => {
            for geometry in geometries {
                add(&geometry.value, place, pieces)?;
            }
        }
    }
    Ok(())
}

/// A laboratory's results in the JSON form of Modus, which has the same ending.
fn results(source: &Source) -> Option<Result<Table, ReadError>> {
    let json = text::decode(&source.bytes);
    modus::is_json(&json).then(|| modus::of_json(&source.name, &json))
}

/// A property as text; a whole number is the same with and without decimals.
fn cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        other => {
            let text = other.to_string();
            text.strip_suffix(".0").map_or_else(|| text.clone(), str::to_owned)
        }
    }
}

fn parse(source: &Source) -> Result<GeoJson, ReadError> {
    let text = text::decode(&source.bytes);
    serde_json::from_str::<Value>(&text)
        .map_err(|e| e.to_string())
        .and_then(|value| serde_json::from_value(value).map_err(|e| e.to_string()))
        .map_err(|reason| ReadError::NotFormat {
            name: source.name.clone(),
            format: FORMAT.called,
            reason,
        })
}

fn position(position: &Position, place: &str) -> Result<Coord<f64>, ReadError> {
    match position.as_slice() {
        &[x, y, ..] => Ok(Coord { x, y }),
        short => {
            let found = format!("a position of {} numbers", short.len());
            Err(unexpected(place, &found, "longitude and latitude"))
        }
    }
}

/// The coordinate system of an old-style `crs` member, or that of RFC 7946.
fn declared(source: &Source, json: &GeoJson) -> Result<Declared, ReadError> {
    let members = match json {
        GeoJson::Geometry(geometry) => &geometry.foreign_members,
        GeoJson::Feature(feature) => &feature.foreign_members,
        GeoJson::FeatureCollection(collection) => &collection.foreign_members,
    };
    let Some(member) = members.as_ref().and_then(|all| all.get("crs")).filter(|v| !v.is_null())
    else {
        return Ok(Declared::rfc7946());
    };
    let place = format!("{}, member \"crs\"", source.name);
    let Some(name) = member.pointer("/properties/name").and_then(Value::as_str) else {
        return Err(unexpected(
            &place,
            "no properties.name",
            "one such as \"urn:ogc:def:crs:EPSG::4326\"",
        ));
    };
    let upper = name.to_ascii_uppercase();
    let code =
        upper.strip_prefix("URN:OGC:DEF:CRS:EPSG:").and_then(|rest| rest.split(':').next_back());
    let crs = match code {
        Some(code) => Crs::named(&format!("EPSG:{code}")),
        None if upper.ends_with(":CRS84") => Ok(Crs::wgs84()),
        None => Crs::named(name),
    };
    let crs = crs.map_err(|error| ReadError::Crs { place: place.clone(), error })?;
    Ok(Declared { crs, by: Some("its \"crs\" member".to_owned()) })
}

fn unexpected(place: &str, found: &str, expected: &str) -> ReadError {
    let (found, expected) = (found.to_owned(), expected.to_owned());
    ReadError::Unexpected { place: place.to_owned(), found, expected }
}

#[cfg(test)]
mod tests;
