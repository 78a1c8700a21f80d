//! Holes of the boundary, such as a pond or a yard, and the ground around them.

use std::collections::BTreeSet;

use geo::{Area as _, BooleanOps, BoundingRect, Coord, CoordsIter, LineString, Polygon};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line};

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
        let (rings, holes): (Vec<_>, Vec<_>) = self.holes().unzip();
        // All strips at once, for each alone against the whole field takes the square of the holes. A
        // piece belongs to every hole that one of its corners is nearest to.
        let edges = holes.iter().enumerate().flat_map(|(number, hole)| {
            let ring = hole.lines.iter().flat_map(|ring| ring.iter().zip(ring.iter().skip(1)));
            ring.map(move |(a, b)| GeomWithData::new(Line::new([a.x, a.y], [b.x, b.y]), number))
        });
        let edges = RTree::bulk_load(edges.collect());
        let mut areas = vec![0.0; holes.len()];
        for piece in buffer(&holes, STRIP_M, &window).intersection(&open) {
            let corners = piece.exterior_coords_iter();
            let nearest = corners.filter_map(|at| edges.nearest_neighbor(&[at.x, at.y]));
            let of: BTreeSet<usize> = nearest.map(|edge| edge.data).collect();
            for number in of {
                areas.get_mut(number).into_iter().for_each(|area| *area += piece.unsigned_area());
            }
        }
        let is_bare = |area: &f64| area / STRIP_M >= LEAST_M;
        let bare = rings.iter().zip(&areas).filter(|(_, area)| is_bare(area));
        let bare = bare.filter_map(|(ring, _)| {
            let polygon = Polygon::new((*ring).clone(), vec![]);
            Some(Hole { at: ring.bounding_rect()?.center(), area: geodesic_area(&polygon) })
        });
        bare.collect()
    }
}
