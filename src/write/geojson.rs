//! `zones.geojson`: RFC 7946, WGS84, one feature a zone.

use geo::{LineString, Polygon};
use geojson::{Feature, FeatureCollection, GeoJson, Geometry, GeometryValue, JsonObject};

use super::names::amount_names;
use super::{FormatError, OutputFile};
use crate::plan::{Plan, ZoneRow};

/// The zones as a feature collection.
#[expect(clippy::unnecessary_wraps, reason = "every format has this type")]
pub fn files(plan: &Plan) -> Result<Vec<OutputFile>, FormatError> {
    let [area, mass] = amount_names(plan.settings.system);
    let features = ZoneRow::all(plan).into_iter().map(|row| {
        let mut properties = JsonObject::new();
        properties.insert("zone".into(), row.zone.into());
        properties.insert("tier".into(), row.tier.into());
        properties.insert("label".into(), row.label.into());
        properties.insert("rate".into(), row.rate.into());
        properties.insert("rate_unit".into(), row.rate_unit.into());
        properties.insert(area.into(), row.area.into());
        properties.insert(mass.into(), row.mass.into());
        properties.insert("cec_mean".into(), row.cec_mean.into());
        Feature {
            geometry: Some(Geometry::new(rings(row.polygon))),
            properties: Some(properties),
            ..Feature::default()
        }
    });
    let collection =
        FeatureCollection { features: features.collect(), bbox: None, foreign_members: None };
    let mut text = GeoJson::from(collection).to_string();
    text.push('\n');
    Ok(vec![OutputFile::new("zones.geojson", text)])
}

/// Rings as RFC 7946 section 3.1.6 wants them: closed, outer counter-clockwise, holes clockwise,
/// which is how a zone has them already.
pub fn rings(polygon: &Polygon<f64>) -> GeometryValue {
    let ring = |line: &LineString<f64>| line.0.iter().map(|at| [at.x, at.y].into()).collect();
    let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
    GeometryValue::Polygon { coordinates: rings.map(ring).collect() }
}
