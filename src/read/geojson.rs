mod features;
mod layer;

use geo::Coord;
use geojson::{Feature, FeatureCollection, GeoJson, Geometry, GeometryValue, JsonObject, Position};
use serde_json::Value;

mod zone_file;

use super::format::{Format, Tabular};
use super::outlines::Outlines;
use super::reference::Declared;
use super::table::{Points, Row, Table};
use super::{ReadError, Source, modus, text};
use crate::projection::Crs;

/// GeoJSON (RFC 7946), in WGS84 unless an old-style `crs` member names another system.
pub(super) const FORMAT: Format = Format {
    called: "GeoJSON",
    extensions: &["geojson", "json"],
    outlines: Some(outlines),
    features: Some(features::features),
    table: Some(Tabular::Table(table)),
    zone_file: Some(zone_file::zone_file),
    layer: Some(layer::layer),
};

fn outlines(source: &Source) -> Result<Outlines, ReadError> {
    let json = parse(source)?;
    let declared = Some(declared(source, &json)?);
    let mut parts = Vec::new();
    match json {
        GeoJson::Geometry(geometry) => add_parts(&geometry.value, &source.name, &mut parts)?,
        GeoJson::Feature(feature) => add_feature(&feature, &source.name, &mut parts)?,
        GeoJson::FeatureCollection(collection) => {
            for (number, feature) in (1..).zip(&collection.features) {
                add_feature(feature, &format!("{}, feature {number}", source.name), &mut parts)?;
            }
        }
    }
    Ok(Outlines { parts, declared })
}

type Part = Vec<Vec<Coord<f64>>>;

fn add_feature(feature: &Feature, place: &str, parts: &mut Vec<Part>) -> Result<(), ReadError> {
    match &feature.geometry {
        Some(geometry) => add_parts(&geometry.value, place, parts),
        None => Err(unexpected(place, "no geometry", "Polygon or MultiPolygon")),
    }
}

fn add_parts(value: &GeometryValue, place: &str, parts: &mut Vec<Part>) -> Result<(), ReadError> {
    let part = |polygon: &Vec<Vec<Position>>| -> Result<Part, ReadError> {
        let ring = |ring: &Vec<Position>| ring.iter().map(|p| position(p, place)).collect();
        polygon.iter().map(ring).collect()
    };
    match value {
        GeometryValue::Polygon { coordinates } => parts.push(part(coordinates)?),
        GeometryValue::MultiPolygon { coordinates } => {
            for polygon in coordinates {
                parts.push(part(polygon)?);
            }
        }
        GeometryValue::GeometryCollection { geometries } => {
            for Geometry { value, .. } in geometries {
                add_parts(value, place, parts)?;
            }
        }
        other => {
            return Err(unexpected(
                place,
                &format!("a {}", other.type_name()),
                "Polygon or MultiPolygon",
            ));
        }
    }
    Ok(())
}

fn table(source: &Source) -> Result<Table, ReadError> {
    let json = text::decode(&source.bytes);
    if modus::is_json(&json) {
        return modus::of_json(&source.name, &json);
    }
    let point = |value: &GeometryValue, place: &str| match value {
        GeometryValue::Point { coordinates } => position(coordinates, place),
        other => Err(unexpected(place, &format!("a {}", other.type_name()), "a Point")),
    };
    let (table, coords, declared) = rows(source, "a FeatureCollection of points", point)?;
    Ok(Table { points: Some(Points { coords, declared }), ..table })
}

/// A table, the shape of each row, and what is said about the coordinates.
type Rows<S> = (Table, Vec<Option<S>>, Option<Declared>);

/// The features' properties as a table, with the shape that is made of each feature's geometry.
fn rows<S>(
    source: &Source,
    expected: &str,
    shape: impl Fn(&GeometryValue, &str) -> Result<S, ReadError>,
) -> Result<Rows<S>, ReadError> {
    let json = parse(source)?;
    let declared = Some(declared(source, &json)?);
    let features = match json {
        GeoJson::FeatureCollection(FeatureCollection { features, .. }) => features,
        GeoJson::Feature(feature) => vec![feature],
        GeoJson::Geometry(_) => {
            return Err(unexpected(&source.name, "a bare geometry", expected));
        }
    };
    let mut columns: Vec<String> = Vec::new();
    for key in
        features.iter().flat_map(|feature| feature.properties.iter().flat_map(JsonObject::keys))
    {
        if !columns.contains(key) {
            columns.push(key.clone());
        }
    }
    let (mut rows, mut shapes) = (Vec::new(), Vec::new());
    for (number, feature) in (1..).zip(&features) {
        let place = format!("{}, feature {number}", source.name);
        let geometry = feature.geometry.as_ref();
        shapes.push(geometry.map(|geometry| shape(&geometry.value, &place)).transpose()?);
        let value = |key| {
            feature.properties.as_ref().and_then(|all| all.get(key)).map_or_else(String::new, cell)
        };
        rows.push(Row { place, cells: columns.iter().map(value).collect() });
    }
    let name = source.name.clone();
    let table =
        Table { name, columns, rows, points: None, decimal_comma: false, warnings: Vec::new() };
    Ok((table, shapes, declared))
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
