//! Holes of the boundary, such as a pond or a yard, and the ground around them.

use geo::{Area as _, BooleanOps, BoundingRect, Coord, LineString, Polygon};

use super::{Field, KeepOutLayer};
use crate::geometry::{Feature, buffer, geodesic_area};
use crate::units::{Area, Length};

/// What is said of a hole where the job says nothing.
pub const HOLE: &str = "hole in the field";
/// The width of the strip along a hole that is looked at, in meters: narrower than any setback.
const STRIP_M: f64 = 0.1;
/// As much of the way around that is not kept off is rounding, in meters.
const LEAST_M: f64 = 1.0;

/// A hole to whose edge the field is spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Its middle, WGS84 longitude and latitude in degrees.
    pub at: Coord<f64>,
    /// Its area.
    pub area: Area,
}

impl Field {
    /// The holes of the boundary: in degrees, and as features in the field's meters.
    pub(super) fn holes(&self) -> impl Iterator<Item = (&LineString<f64>, Feature)> {
        let rings = |polygon: &Polygon<f64>| polygon.interiors().to_vec();
        let local = self.boundary.local().iter().flat_map(rings);
        let degrees = self.boundary.wgs84().iter().flat_map(Polygon::interiors);
        degrees.zip(local.map(|ring| Feature::polygon(vec![ring.0])))
    }

    /// What is kept out around the holes, where the job says how far.
    pub(super) fn hole_layer(&self) -> Option<KeepOutLayer> {
        let distance = self.hole_setback.filter(|distance| distance.value > Length::ZERO)?;
        let features: Vec<Feature> =
            self.holes().map(|(ring, _)| Feature::polygon(vec![ring.0.clone()])).collect();
        (!features.is_empty()).then(|| KeepOutLayer {
            called: "hole_setback".to_owned(),
            why: HOLE.to_owned(),
            distance,
            features,
        })
    }

    /// The holes to whose edge the field is spread without the job having said so.
    #[must_use]
    pub fn bare_holes(&self) -> Vec<Hole> {
        if self.hole_setback.is_some() {
            return Vec::new();
        }
        let open = self.open();
        let Some(window) = open.bounding_rect() else { return Vec::new() };
        let is_bare = |hole: &Feature| {
            let strip = buffer(std::slice::from_ref(hole), STRIP_M, &window).intersection(&open);
            strip.unsigned_area() / STRIP_M >= LEAST_M
        };
        let bare = self.holes().filter(|(_, hole)| is_bare(hole)).filter_map(|(ring, _)| {
            let polygon = Polygon::new(ring.clone(), vec![]);
            Some(Hole { at: ring.bounding_rect()?.center(), area: geodesic_area(&polygon) })
        });
        bare.collect()
    }
}
