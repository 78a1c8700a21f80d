//! How much of which rate the record has on each zone, and off them all.

use geo::{Area as _, BooleanOps, BoundingRect, Intersects, MapCoords, MultiPolygon, unary_union};
use rstar::RTree;

use super::reach::share_in_reach;
use super::{Applied, Dose, PlannedZone, RowPlace};
use crate::geometry::Frame;
use crate::units::{Area, Mass, Quantity, Rate};

/// How far from its target a rate may be and count as met (common practice, no source).
const NEAR: f64 = 0.1;
/// What rounding may take from a rate that is just near enough, as a share of it.
const ROUNDING: f64 = 1e-9;

/// What the record has, zone by zone and off them all.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Recorded {
    /// In the order of the zones.
    pub zones: Vec<RecordedOnZone>,
    /// How many rows lie on no zone.
    pub rows_off: usize,
    /// What of the record lies off the zones, parts of polygons with it.
    pub mass_off: Mass,
    /// The ground that it lies on.
    pub area_off: Area,
}

/// What the record has on a zone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RecordedOnZone {
    /// Whether it has anything.
    pub any: bool,
    /// What was spread, by the record.
    pub mass: Mass,
    /// The ground that it covers, each place once.
    pub covered: Area,
    /// The same, places that it has twice counted twice.
    pub summed: Area,
    /// The ground that got within 10 % of the target.
    pub near: Area,
}

/// A polygon's part on one zone, in meters, and its rate.
type Piece = (MultiPolygon<f64>, Rate);

/// Lays the record on the zones.
///
/// A polygon is cut by the zones, and its rate holds on each piece; its mass is shared by area. Of
/// the points in a zone each stands for a part of the zone's printed area, in proportion to its
/// weight: a log has a fixed interval, so at an even speed the parts are alike. A point off the
/// zones stands for as much ground as those on them do on average.
pub(super) fn recorded(zones: &[PlannedZone], applied: &[Applied]) -> Recorded {
    let mut found =
        Recorded { zones: vec![], rows_off: 0, mass_off: Mass::ZERO, area_off: Area::ZERO };
    let Some(frame) = frame(zones) else { return Recorded { rows_off: applied.len(), ..found } };
    let local: Vec<MultiPolygon<f64>> =
        zones.iter().map(|zone| in_metres(&zone.polygons, &frame)).collect();
    let mut pieces: Vec<Vec<Piece>> = vec![Vec::new(); zones.len()];
    let mut points: Vec<Vec<&Applied>> = vec![Vec::new(); zones.len()];
    let (mut stray, mut places) = (Vec::new(), Vec::new());
    for row in applied {
        match &row.place {
            RowPlace::Point(at) => {
                places.extend(frame.to_local(*at).ok().map(|at| [at.x, at.y]));
                let zone = zones.iter().position(|zone| zone.polygons.intersects(at));
                zone.and_then(|zone| points.get_mut(zone)).unwrap_or(&mut stray).push(row);
            }
            RowPlace::Area(polygons) => {
                let whole = in_metres(polygons, &frame);
                let area = Area::square_metres(whole.unsigned_area());
                let rate = match row.dose {
                    Dose::Rate(rate) => rate,
                    Dose::Mass(mass) => mass / area,
                };
                let mut on = 0.0;
                for (pieces, zone) in pieces.iter_mut().zip(&local) {
                    if let Some(piece) = common(&whole, zone) {
                        on += piece.unsigned_area();
                        pieces.push((piece, rate));
                    }
                }
                found.rows_off += usize::from(on <= 0.0);
                let off = Area::square_metres((area.si() - on).max(0.0));
                if off > Area::ZERO {
                    found.area_off = [found.area_off, off].into_iter().sum();
                    found.mass_off = [found.mass_off, rate * off].into_iter().sum();
                }
            }
        }
    }
    let places = RTree::bulk_load(places);
    let mut by_points = (0.0, 0.0);
    for (((zone, local), pieces), points) in zones.iter().zip(&local).zip(&pieces).zip(&points) {
        let from_points = by_the_points(zone, points, || share_in_reach(local, &places));
        by_points.0 += from_points.covered.si();
        by_points.1 += points.iter().map(|row| row.weight).sum::<f64>();
        found.zones.push(together(zone, by_the_pieces(zone, pieces), from_points));
    }
    found.rows_off += stray.len();
    for row in stray {
        let share = if by_points.1 > 0.0 { by_points.0 / by_points.1 } else { 0.0 };
        let area = Area::square_metres(share * row.weight);
        let mass = match row.dose {
            Dose::Rate(rate) => rate * area,
            Dose::Mass(mass) => mass,
        };
        found.area_off = [found.area_off, area].into_iter().sum();
        found.mass_off = [found.mass_off, mass].into_iter().sum();
    }
    found
}

/// What the pieces of polygons say of a zone.
fn by_the_pieces(zone: &PlannedZone, pieces: &[Piece]) -> RecordedOnZone {
    let area = |piece: &Piece| Area::square_metres(piece.0.unsigned_area());
    let near = pieces.iter().filter(|(_, rate)| is_near(*rate, zone.rate));
    RecordedOnZone {
        any: !pieces.is_empty(),
        mass: pieces.iter().map(|piece| piece.1 * area(piece)).sum(),
        covered: union(pieces.iter().map(|(piece, _)| piece)),
        summed: pieces.iter().map(area).sum(),
        near: union(near.map(|(piece, _)| piece)),
    }
}

/// What the points in a zone say of it, of which a share is in reach of any point.
fn by_the_points(
    zone: &PlannedZone,
    points: &[&Applied],
    share: impl Fn() -> f64,
) -> RecordedOnZone {
    let weights: f64 = points.iter().map(|row| row.weight).sum();
    let none = Area::ZERO;
    let mut on = RecordedOnZone {
        any: weights > 0.0,
        mass: Mass::ZERO,
        covered: none,
        summed: none,
        near: none,
    };
    if !on.any {
        return on;
    }
    let share = share();
    let mut near = 0.0;
    let mut masses = Vec::new();
    for row in points.iter().filter(|row| row.weight > 0.0) {
        let area = zone.area * (row.weight / weights);
        let rate = match row.dose {
            Dose::Rate(rate) => rate,
            Dose::Mass(mass) => mass / area,
        };
        masses.push(rate * area);
        near += if is_near(rate, zone.rate) { row.weight / weights } else { 0.0 };
    }
    on.mass = masses.into_iter().sum();
    (on.covered, on.summed, on.near) =
        (zone.area * share, zone.area * share, zone.area * (share * near));
    on
}

/// Pieces and points of one zone, of which neither can cover more than there is.
fn together(zone: &PlannedZone, one: RecordedOnZone, other: RecordedOnZone) -> RecordedOnZone {
    let sum =
        |pick: fn(&RecordedOnZone) -> Area| [pick(&one), pick(&other)].into_iter().sum::<Area>();
    let least = |a: Area, b: Area| if a < b { a } else { b };
    let covered = least(sum(|on| on.covered), zone.area);
    RecordedOnZone {
        any: one.any || other.any,
        mass: [one.mass, other.mass].into_iter().sum(),
        covered,
        summed: sum(|on| on.summed),
        near: least(sum(|on| on.near), covered),
    }
}

pub(super) fn is_near(rate: Rate, target: Rate) -> bool {
    (rate - target).si().abs() <= (NEAR + ROUNDING) * target.si()
}

fn union<'a>(pieces: impl Iterator<Item = &'a MultiPolygon<f64>>) -> Area {
    let pieces: Vec<&MultiPolygon<f64>> = pieces.collect();
    Area::square_metres(unary_union(pieces).unsigned_area())
}

pub(super) fn frame(zones: &[PlannedZone]) -> Option<Frame> {
    let first = zones.iter().find_map(|zone| zone.polygons.bounding_rect())?;
    Some(Frame::around(first.center()))
}

/// A place too far away for the frame is on no zone.
pub(super) fn in_metres(polygons: &MultiPolygon<f64>, frame: &Frame) -> MultiPolygon<f64> {
    polygons.try_map_coords(|at| frame.to_local(at)).unwrap_or_else(|_| MultiPolygon(Vec::new()))
}

fn common(one: &MultiPolygon<f64>, other: &MultiPolygon<f64>) -> Option<MultiPolygon<f64>> {
    let (box_of_one, box_of_other) = one.bounding_rect().zip(other.bounding_rect())?;
    let piece = box_of_one.intersects(&box_of_other).then(|| one.intersection(other))?;
    (piece.unsigned_area() > 0.0).then_some(piece)
}
