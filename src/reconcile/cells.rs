//! How much of which rate the record has on each zone.

use geo::{Area as _, BooleanOps, BoundingRect, Intersects, MapCoords, MultiPolygon};

use super::{Applied, Dose, Place, PlannedZone};
use crate::projection::Frame;
use crate::units::{Area, Mass, Rate};

/// A piece of a zone and what the controller says it got.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cell {
    pub area: Area,
    pub rate: Rate,
}

/// The cells of each zone, in the order of the zones, and how many rows lie on no zone.
///
/// A polygon is cut by the zones, and its rate holds on each piece; its mass is shared by area. Of
/// the points in a zone each stands for a part of the zone's printed area, in proportion to its
/// weight: a log has a fixed interval, so at an even speed the parts are alike.
pub(super) fn cells(zones: &[PlannedZone], applied: &[Applied]) -> (Vec<Vec<Cell>>, usize) {
    let Some(frame) = frame(zones) else { return (Vec::new(), applied.len()) };
    let local: Vec<MultiPolygon<f64>> =
        zones.iter().map(|zone| in_metres(&zone.polygons, &frame)).collect();
    let mut cells = vec![Vec::new(); zones.len()];
    let mut points: Vec<Vec<(&Applied, Rate)>> = vec![Vec::new(); zones.len()];
    let mut nowhere = 0;
    for row in applied {
        let mut on_a_zone = false;
        match &row.place {
            Place::Point(at) => {
                let zone = zones.iter().position(|zone| zone.polygons.intersects(at));
                if let Some(points) = zone.and_then(|zone| points.get_mut(zone)) {
                    points.push((row, Rate::ZERO));
                    on_a_zone = true;
                }
            }
            Place::Area(polygons) => {
                let piece = in_metres(polygons, &frame);
                let whole = Area::square_metres(piece.unsigned_area());
                let rate = match row.dose {
                    Dose::Rate(rate) => rate,
                    Dose::Mass(mass) => mass / whole,
                };
                for (cells, zone) in cells.iter_mut().zip(&local) {
                    let area = common(&piece, zone);
                    if area > Area::ZERO {
                        cells.push(Cell { area, rate });
                        on_a_zone = true;
                    }
                }
            }
        }
        nowhere += usize::from(!on_a_zone);
    }
    for ((cells, points), zone) in cells.iter_mut().zip(&points).zip(zones) {
        let weights: f64 = points.iter().map(|(row, _)| row.weight).sum();
        cells.extend(points.iter().filter(|(row, _)| row.weight > 0.0).map(|(row, _)| {
            let area = zone.area * (row.weight / weights);
            let rate = match row.dose {
                Dose::Rate(rate) => rate,
                Dose::Mass(mass) => mass / area,
            };
            Cell { area, rate }
        }));
    }
    (cells, nowhere)
}

/// What cells hold together.
pub(super) fn mass(cells: &[Cell]) -> Mass {
    cells.iter().map(|cell| cell.rate * cell.area).sum()
}

fn frame(zones: &[PlannedZone]) -> Option<Frame> {
    let first = zones.iter().find_map(|zone| zone.polygons.bounding_rect())?;
    Some(Frame::around(first.center()))
}

/// A place too far away for the frame is on no zone.
fn in_metres(polygons: &MultiPolygon<f64>, frame: &Frame) -> MultiPolygon<f64> {
    polygons.try_map_coords(|at| frame.to_local(at)).unwrap_or_else(|_| MultiPolygon(Vec::new()))
}

fn common(one: &MultiPolygon<f64>, other: &MultiPolygon<f64>) -> Area {
    let near = one.bounding_rect().zip(other.bounding_rect());
    if near.is_none_or(|(one, other)| !one.intersects(&other)) {
        return Area::ZERO;
    }
    Area::square_metres(one.intersection(other).unsigned_area())
}
