use geo::{
    Area as _, BooleanOps, BoundingRect, Coord, Intersects, MultiPolygon, Point, unary_union,
};

use super::SamplingError;
use crate::field::{Boundary, KeepOut, Nearby};
use crate::geometry::scanline::Crossings;
use crate::geometry::{Feature, buffer};
use crate::surface::Lattice;
use crate::units::{Area, Length, Quantity, System};

/// The ground that samples stand for, and the part of it on which they may be taken, both as nodes of
/// one lattice in the field's own meters.
#[derive(Clone, Debug)]
pub struct Ground {
    spread: MultiPolygon<f64>,
    allowed: MultiPolygon<f64>,
    nodes: Vec<Coord<f64>>,
    may_hold: Vec<Coord<f64>>,
    area: Area,
}

/// How many nodes stand for a field: the mean squared distance of a layout is then known to about a
/// thousandth.
pub(super) const NODES: f64 = 8000.0;

impl Ground {
    /// The ground of a field: what is spread of it, and of that what is so far off its edges, its
    /// keep-outs, its holes and the layers to avoid, each with its own distance.
    ///
    /// # Errors
    /// When nothing is left on which a sample may be taken.
    pub fn new(
        boundary: &Boundary,
        keep_outs: &[KeepOut],
        avoid: &[Nearby],
        edge: Length,
        system: System,
    ) -> Result<Self, SamplingError> {
        let field = boundary.local();
        let kept: Vec<_> =
            keep_outs.iter().flat_map(|keep_out| keep_out.area.iter().cloned()).collect();
        let spread =
            if kept.is_empty() { field.clone() } else { field.difference(&unary_union(&kept)) };
        let allowed = off(&spread, avoid, edge);
        let share = spread.unsigned_area() / field.unsigned_area();
        let area = boundary.area() * share;
        let mut ground = Self { spread, allowed, nodes: Vec::new(), may_hold: Vec::new(), area };
        ground.fill(NODES)?;
        if ground.may_hold.is_empty() {
            return Err(SamplingError::NoGround { edge: edge.show(system, 0) });
        }
        Ok(ground)
    }

    /// The same ground by about so many nodes.
    pub(super) fn by_nodes(&self, count: f64) -> Result<Self, SamplingError> {
        let mut coarse = self.clone();
        coarse.fill(count)?;
        if coarse.may_hold.is_empty() {
            coarse.may_hold.clone_from(&self.may_hold);
        }
        Ok(coarse)
    }

    fn fill(&mut self, count: f64) -> Result<(), SamplingError> {
        let step = (self.spread.unsigned_area() / count).sqrt();
        let lattice = Lattice::over(&self.spread, step)?;
        self.nodes = inside(&self.spread, &lattice);
        self.may_hold = inside(&self.allowed, &lattice);
        Ok(())
    }

    /// The ground that is spread, in the field's meters.
    #[must_use]
    pub fn spread(&self) -> &MultiPolygon<f64> {
        &self.spread
    }

    /// The ground on which samples may be taken, in the field's meters.
    #[must_use]
    pub fn allowed(&self) -> &MultiPolygon<f64> {
        &self.allowed
    }

    /// Nodes that stand for the ground, row after row from the south.
    #[must_use]
    pub fn nodes(&self) -> &[Coord<f64>] {
        &self.nodes
    }

    /// Nodes at which samples may be taken, in the same order.
    #[must_use]
    pub fn may_hold(&self) -> &[Coord<f64>] {
        &self.may_hold
    }

    /// The area that is spread, geodesic.
    #[must_use]
    pub fn area(&self) -> Area {
        self.area
    }

    /// The area that is spread, in the plane of the field's meters, m².
    pub(super) fn plane_area(&self) -> f64 {
        self.spread.unsigned_area()
    }

    /// Whether a sample may be taken at a place.
    #[must_use]
    pub fn is_allowed(&self, at: Coord<f64>) -> bool {
        self.allowed.intersects(&Point(at))
    }

    /// The place itself if a sample may be taken there, else the nearest node that may hold one.
    pub(super) fn nearest_allowed(&self, at: Coord<f64>) -> Coord<f64> {
        if self.is_allowed(at) {
            return at;
        }
        let apart = |node: &Coord<f64>| squared(*node - at);
        let nodes = self.may_hold.iter().copied();
        nodes.min_by(|a, b| apart(a).total_cmp(&apart(b))).unwrap_or(at)
    }
}

/// The part of some ground that is far enough from its own edges and from layers.
fn off(spread: &MultiPolygon<f64>, avoid: &[Nearby], edge: Length) -> MultiPolygon<f64> {
    let Some(window) = spread.bounding_rect() else { return spread.clone() };
    let mut left = spread.clone();
    if edge > Length::ZERO {
        let edges: Vec<Feature> =
            Feature::from(spread).lines.into_iter().map(Feature::line).collect();
        left = left.difference(&buffer(&edges, edge.as_metres(), &window));
    }
    for layer in avoid {
        left = left.difference(&buffer(&layer.features, layer.distance.as_metres(), &window));
    }
    left
}

/// The nodes of a lattice inside polygons, row after row from the south.
fn inside(polygons: &MultiPolygon<f64>, lattice: &Lattice) -> Vec<Coord<f64>> {
    let rings = || {
        let rings = |part: &'_ geo::Polygon<f64>| -> Vec<Vec<Coord<f64>>> {
            std::iter::once(part.exterior())
                .chain(part.interiors())
                .map(|ring| ring.0.clone())
                .collect()
        };
        polygons.iter().flat_map(rings).collect::<Vec<_>>()
    };
    let rings = rings();
    let (step, rows) = (lattice.step(), lattice.rows());
    let crossings = Crossings::of(rings.iter().map(Vec::as_slice), lattice.northing(0), step, rows);
    let mut nodes = Vec::new();
    crossings.runs(lattice.easting(0), step, lattice.columns(), |row, first, end| {
        let at = |column| Coord { x: lattice.easting(column), y: lattice.northing(row) };
        nodes.extend((first..end).map(at));
    });
    nodes
}

pub(super) fn squared(of: Coord<f64>) -> f64 {
    of.x * of.x + of.y * of.y
}
