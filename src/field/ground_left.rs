//! What of a field the areas apart have left, one after another.

use geo::{Area as _, BooleanOps, BoundingRect, Euclidean, Length as _, MapCoords, MultiPolygon};
use geo::{Polygon, Rect};

use super::Boundary;
use crate::geometry::on_grid;

/// The smallest piece of ground that is an area apart: 1 cm², below what anything resolves.
const LEAST_AREA_M2: f64 = 1e-4;
/// The narrowest piece of ground, in meters: thinner ones are the rounding of lines that fall
/// together.
const LEAST_WIDTH_M: f64 = 1e-3;

/// What of a field is in no area apart yet, in the meters of its frame.
pub(super) struct GroundLeft {
    field: MultiPolygon<f64>,
    left: MultiPolygon<f64>,
    /// The field's box.
    pub window: Rect<f64>,
}

/// What an area takes of the ground that is left.
pub(super) enum Taken {
    /// This part.
    Part(MultiPolygon<f64>),
    /// Nothing: what it has of the field is taken already.
    Covered,
    /// Nothing: it has no part in the field.
    Elsewhere,
    /// All of it.
    Everything,
}

impl GroundLeft {
    /// All of a field.
    pub fn of(boundary: &Boundary) -> Option<Self> {
        let field = boundary.local().map_coords(on_grid);
        let window = field.bounding_rect()?;
        Some(Self { left: field.clone(), field, window })
    }

    /// The same without parts of it that are taken already.
    pub fn without<'a>(mut self, taken: impl Iterator<Item = &'a MultiPolygon<f64>>) -> Self {
        for area in taken {
            self.left = self.left.difference(area);
        }
        self
    }

    /// Takes what an area has of it.
    pub fn take(&mut self, area: &MultiPolygon<f64>) -> Taken {
        let part = without_slivers(self.left.intersection(area));
        if part.0.is_empty() {
            let elsewhere = without_slivers(self.field.intersection(area)).0.is_empty();
            return if elsewhere { Taken::Elsewhere } else { Taken::Covered };
        }
        self.left = self.left.difference(area);
        if without_slivers(self.left.clone()).0.is_empty() {
            return Taken::Everything;
        }
        Taken::Part(part)
    }
}

/// Polygons and holes that are large enough to be there; a hole that is not is filled.
fn without_slivers(polygons: MultiPolygon<f64>) -> MultiPolygon<f64> {
    let is_there = |polygon: &Polygon<f64>| {
        let area = polygon.unsigned_area();
        let around: f64 = polygon.exterior().lines().map(|line| Euclidean.length(&line)).sum();
        area >= LEAST_AREA_M2 && 2.0 * area >= LEAST_WIDTH_M * around
    };
    let mut polygons: Vec<Polygon<f64>> = polygons.0;
    polygons.retain(is_there);
    let filled = polygons.into_iter().map(|polygon| {
        let (exterior, mut holes) = polygon.into_inner();
        holes.retain(|hole| is_there(&Polygon::new(hole.clone(), vec![])));
        Polygon::new(exterior, holes)
    });
    filled.collect()
}
