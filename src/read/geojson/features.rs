use geojson::{GeoJson, GeometryValue, Position};

use super::{declared, parse, position};
use crate::geometry::Feature;
use crate::read::outlines::Features;
use crate::read::{ReadError, Source};

/// Every point, line and polygon of a file; features without a geometry have no place.
pub(super) fn features(source: &Source) -> Result<Features, ReadError> {
    let json = parse(source)?;
    let declared = Some(declared(source, &json)?);
    let mut features = Vec::new();
    match json {
        GeoJson::Geometry(geometry) => add(&geometry.value, &source.name, &mut features)?,
        GeoJson::Feature(feature) => {
            if let Some(geometry) = &feature.geometry {
                add(&geometry.value, &source.name, &mut features)?;
            }
        }
        GeoJson::FeatureCollection(collection) => {
            for (number, feature) in (1..).zip(&collection.features) {
                if let Some(geometry) = &feature.geometry {
                    let place = format!("{}, feature {number}", source.name);
                    add(&geometry.value, &place, &mut features)?;
                }
            }
        }
    }
    Ok(Features { features, declared })
}

fn add(value: &GeometryValue, place: &str, features: &mut Vec<Feature>) -> Result<(), ReadError> {
    let line = |line: &Vec<Position>| line.iter().map(|at| position(at, place)).collect();
    let polygon = |rings: &Vec<Vec<Position>>| -> Result<Feature, ReadError> {
        rings.iter().map(line).collect::<Result<_, _>>().map(Feature::polygon)
    };
    match value {
        GeometryValue::Point { coordinates } => {
            features.push(Feature::point(position(coordinates, place)?));
        }
        GeometryValue::MultiPoint { coordinates } => {
            for point in coordinates {
                features.push(Feature::point(position(point, place)?));
            }
        }
        GeometryValue::LineString { coordinates } => {
            features.push(Feature::line(line(coordinates)?));
        }
        GeometryValue::MultiLineString { coordinates } => {
            for part in coordinates {
                features.push(Feature::line(line(part)?));
            }
        }
        GeometryValue::Polygon { coordinates } => features.push(polygon(coordinates)?),
        GeometryValue::MultiPolygon { coordinates } => {
            for part in coordinates {
                features.push(polygon(part)?);
            }
        }
        GeometryValue::GeometryCollection { geometries } => {
            for geometry in geometries {
                add(&geometry.value, place, features)?;
            }
        }
    }
    Ok(())
}
