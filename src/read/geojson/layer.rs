use geojson::GeometryValue;

use super::{add_parts, position, rows};
use crate::read::layer::{Layer, Shape};
use crate::read::{ReadError, Source};

/// Points or polygons with their properties.
pub(super) fn layer(source: &Source) -> Result<Layer, ReadError> {
    let shape = |value: &GeometryValue, place: &str| match value {
        GeometryValue::Point { coordinates } => position(coordinates, place).map(Shape::Point),
        other => {
            let mut parts = Vec::new();
            add_parts(other, place, &mut parts).map(|()| Shape::Area(parts))
        }
    };
    let (table, shapes, declared) = rows(source, "a FeatureCollection", shape)?;
    Ok(Layer { table, shapes: Some((shapes, declared)) })
}
