use geo::{BoundingRect, Coord, MultiPolygon, Polygon, Rect};

use super::line_crossings::edges;
use super::turned_plane::TurnedPlane;

/// What a patch of ground is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PatchUse {
    /// It is a zone, by its number.
    Zone(usize),
    /// Nothing may land there: which of the field's keep-outs.
    KeptOut(usize),
}

/// A patch of ground with one rate, in the turned plane.
#[derive(Clone, Debug)]
pub struct Patch {
    /// What it is.
    pub is: PatchUse,
    /// kg/m2.
    pub rate: f64,
    /// Where.
    pub polygon: Polygon<f64>,
    edges: Vec<[Coord<f64>; 2]>,
    bounds: Option<Rect<f64>>,
}

impl Patch {
    /// From a polygon in the field's meters.
    #[must_use]
    pub fn new(is: PatchUse, rate: f64, polygon: &Polygon<f64>, turned: &TurnedPlane) -> Self {
        let polygon = turned.polygon(polygon);
        let edges = edges(&MultiPolygon(vec![polygon.clone()]));
        Self { is, rate, bounds: polygon.bounding_rect(), edges, polygon }
    }

    pub(super) fn edges(&self) -> &[[Coord<f64>; 2]] {
        &self.edges
    }

    pub(super) fn bounds(&self) -> Option<Rect<f64>> {
        self.bounds
    }

    /// Whether a line, however far it is drawn out, may meet it.
    pub(super) fn meets(&self, [from, to]: [Coord<f64>; 2]) -> bool {
        let Some(bounds) = self.bounds else { return false };
        let side = |x, y| (x - from.x) * (to.y - from.y) - (y - from.y) * (to.x - from.x);
        let (low, high) = (bounds.min(), bounds.max());
        let sides =
            [side(low.x, low.y), side(low.x, high.y), side(high.x, low.y), side(high.x, high.y)];
        !(sides.iter().all(|side| *side > 0.0) || sides.iter().all(|side| *side < 0.0))
    }
}

/// The field, its zones and what is kept out of it, in the turned plane.
#[derive(Clone, Debug)]
pub struct LandingGround {
    turned: TurnedPlane,
    patches: Vec<Patch>,
    field: MultiPolygon<f64>,
    inside: Vec<[Coord<f64>; 2]>,
}

impl LandingGround {
    /// From patches that tile a field, all in the field's meters.
    #[must_use]
    pub fn new(
        field: &MultiPolygon<f64>,
        patches: &[(PatchUse, f64, Polygon<f64>)],
        turned: TurnedPlane,
    ) -> Self {
        let patch = |(is, rate, polygon): &(PatchUse, f64, Polygon<f64>)| {
            Patch::new(*is, *rate, polygon, &turned)
        };
        let field = MultiPolygon(field.iter().map(|part| turned.polygon(part)).collect());
        let patches = patches.iter().map(patch).collect();
        Self { turned, patches, inside: edges(&field), field }
    }

    /// With the ground that the headland rounds leave to the passes.
    #[must_use]
    pub fn with_inside(self, inside: &MultiPolygon<f64>) -> Self {
        Self { inside: edges(inside), ..self }
    }

    /// The plane that it lies in.
    #[must_use]
    pub fn turned(&self) -> TurnedPlane {
        self.turned
    }

    /// The patches.
    #[must_use]
    pub fn patches(&self) -> &[Patch] {
        &self.patches
    }

    /// The field's parts.
    #[must_use]
    pub fn field(&self) -> &MultiPolygon<f64> {
        &self.field
    }

    /// The border of what the headland rounds leave to the passes.
    pub(super) fn inside(&self) -> &[[Coord<f64>; 2]] {
        &self.inside
    }
}
