use geo::{BoundingRect, Coord, CoordsIter, LineString, MultiPolygon, Polygon};

use super::columns::named;
use super::layer::RowShape;
use super::number::number;
use super::{ReadError, Source, formats};
use crate::field::WIDEST_M;
use crate::geometry::Frame;
use crate::reconcile::PlannedZone;
use crate::units::{Area, Mass, Quantity, Rate, System};

/// Reads the zones of a plan, as its `zones.geojson` has them.
///
/// # Errors
/// When the file cannot be read or is not one that a plan writes.
pub fn zones(source: &Source) -> Result<Vec<PlannedZone>, ReadError> {
    let layer = formats::layer(source, None)?;
    let table = &layer.table;
    let column = |name| named(table, "zone", "zones.geojson", name);
    let us = table.columns.iter().any(|name| name == "acres");
    let (system, area, mass) =
        if us { (System::Us, "acres", "tons") } else { (System::Metric, "hectares", "tonnes") };
    let [zone, rate, area, mass] = [column("zone")?, column("rate")?, column(area)?, column(mass)?];
    let label = column("label")?;
    let shapes = layer.shapes.map(|(shapes, _)| shapes).unwrap_or_default();
    let mut zones = Vec::new();
    for (row, shape) in table.rows.iter().zip(shapes) {
        let figure = |column| number(table, row, column).map(|value| value.unwrap_or(0.0));
        let Some(RowShape::Area(parts)) = shape else {
            return Err(ReadError::Unexpected {
                place: row.place.clone(),
                found: "no polygon".to_owned(),
                expected: "a zone as a plan writes it".to_owned(),
            });
        };
        let polygons = polygons(parts);
        if let Some(found) = beyond_a_field(&polygons) {
            return Err(ReadError::Unexpected {
                place: row.place.clone(),
                found,
                expected: "a zone of a field, in longitude -180 to 180 and latitude -90 to 90, as a plan writes it; plan again"
                    .to_owned(),
            });
        }
        zones.push(PlannedZone {
            number: row.cell(zone).to_owned(),
            label: row.cell(label).to_owned(),
            rate: in_system::<Rate>(figure(rate)?, system),
            area: in_system::<Area>(figure(area)?, system),
            mass: in_system::<Mass>(figure(mass)?, system),
            polygons,
        });
    }
    Ok(zones)
}

/// What no zone of a field has: a position that is none, or an extent beyond the widest field's.
fn beyond_a_field(polygons: &MultiPolygon<f64>) -> Option<String> {
    let no_place = |at: &Coord<f64>| !(at.x.abs() <= 180.0 && at.y.abs() <= 90.0);
    if let Some(at) = polygons.coords_iter().find(no_place) {
        return Some(format!("the position {:?}, {:?}", at.x, at.y));
    }
    let bounds = polygons.bounding_rect()?;
    let frame = Frame::around(bounds.center());
    let sides = [(bounds.min().x, bounds.center().y), (bounds.center().x, bounds.min().y)];
    let half = |side| {
        frame.to_local(Coord::from(side)).map_or(f64::INFINITY, |at| at.x.abs().max(at.y.abs()))
    };
    let too_wide = sides.into_iter().any(|side| half(side) * 2.0 > WIDEST_M);
    too_wide.then(|| format!("more than {:.0} km from one side to the other", WIDEST_M / 1000.0))
}

fn in_system<Q: Quantity>(value: f64, system: System) -> Q {
    Q::from_si(value * Q::unit(system).si)
}

/// Parts, each the outer ring and then its holes, as polygons.
pub(super) fn polygons(parts: Vec<Vec<Vec<geo::Coord<f64>>>>) -> MultiPolygon<f64> {
    let polygon = |rings: Vec<Vec<geo::Coord<f64>>>| {
        let mut rings = rings.into_iter().map(LineString);
        let outer = rings.next()?;
        Some(Polygon::new(outer, rings.collect()))
    };
    MultiPolygon(parts.into_iter().filter_map(polygon).collect())
}
