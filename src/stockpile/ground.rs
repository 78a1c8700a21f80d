//! The ground on which a pile may lie.

use geo::{Area as _, Euclidean, Length as _};
use geo::{BooleanOps, BoundingRect, LineString, MultiPolygon, Polygon};

use crate::field::Site;
use crate::geometry::{Feature, buffer};
use crate::units::Length;

/// How much farther than asked a pile keeps, in meters. It covers what rounding to eight decimals
/// of a degree moves it (0.8 mm), the frame's scale error over a mile's setback in a field two
/// miles wide (0.5 mm), and the grid of the polygon operations (0.1 mm).
const CLEARANCE_M: f64 = 0.003;
/// How far outside its circle the corners of a buffer lie, in meters.
const ROUND_M: f64 = 0.005;
/// The smallest and narrowest piece of ground that a pile is placed on: a square meter, and in the
/// mean 2 cm wide.
const LEAST_AREA_M2: f64 = 1.0;
const LEAST_WIDTH_M: f64 = 0.02;
/// The narrowest hole in it, in the mean: what is thinner is within the clearance.
const LEAST_HOLE_M: f64 = 0.002;

/// The part of open ground that is in reach of road trucks: where the edge of a pile is near enough
/// to where they stand.
pub fn in_reach(open: &MultiPolygon<f64>, site: &Site, radius: Length) -> MultiPolygon<f64> {
    let (Some(access), Some(window)) = (&site.access, open.bounding_rect()) else {
        return open.clone();
    };
    let reach = (access.distance + radius).as_metres() - ROUND_M - CLEARANCE_M;
    large_enough(open.intersection(&buffer(&access.features, reach.max(0.0), &window)))
}

/// The part of some of the open ground on which the middle of a pile may lie: its edge keeps every
/// setback, and all of it lies on open ground.
pub fn allowed(
    ground: &MultiPolygon<f64>,
    open: &MultiPolygon<f64>,
    site: &Site,
    radius: Length,
) -> MultiPolygon<f64> {
    let Some(window) = ground.bounding_rect() else { return ground.clone() };
    let without = |left: MultiPolygon<f64>, features: &[Feature], distance: Length| {
        let distance = (distance + radius).as_metres() + CLEARANCE_M;
        left.difference(&buffer(features, distance, &window))
    };
    let mut left = ground.clone();
    if radius > Length::ZERO {
        left = without(left, &edges(open), Length::ZERO);
    }
    for setback in &site.setbacks {
        left = without(left, &setback.features, setback.distance);
    }
    large_enough(left)
}

/// The edges of open ground, as lines.
pub fn edges(open: &MultiPolygon<f64>) -> Vec<Feature> {
    Feature::from(open).lines.into_iter().map(Feature::line).collect()
}

/// Pieces that are large enough for anything to lie on, without holes that are only the rounding of
/// lines that fall together.
fn large_enough(ground: MultiPolygon<f64>) -> MultiPolygon<f64> {
    let size = |ring: &LineString<f64>| {
        let area = Polygon::new(ring.clone(), vec![]).unsigned_area();
        (area, 2.0 * area / Euclidean.length(ring))
    };
    let is_hole = |ring: &LineString<f64>| size(ring).1 >= LEAST_HOLE_M;
    let is_enough = |ring: &LineString<f64>| {
        let (area, width) = size(ring);
        area >= LEAST_AREA_M2 && width >= LEAST_WIDTH_M
    };
    let pieces = ground.into_iter().map(Polygon::into_inner);
    pieces
        .filter(|(exterior, _)| is_enough(exterior))
        .map(|(exterior, holes)| {
            Polygon::new(exterior, holes.into_iter().filter(is_hole).collect())
        })
        .collect()
}
