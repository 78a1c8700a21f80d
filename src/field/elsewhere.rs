//! Where a layer is that has no part near the field.

use geo::{BoundingRect, Coord, Distance as _, Geodesic, Point, Rect};

use super::{Boundary, KeepOutLayer};
use crate::geometry::Feature;
use crate::units::Length;
use crate::warning::Elsewhere;

/// Where a layer is: at the field, were its longitudes and latitudes swapped, or how far away its
/// nearest vertex is from the field's middle.
pub(super) fn elsewhere(layer: &KeepOutLayer, boundary: &Boundary) -> Elsewhere {
    let places = || layer.features.iter().flat_map(|feature| feature.lines.iter().flatten());
    let Some(field) = boundary.wgs84().bounding_rect() else { return Elsewhere::Away(None) };
    if places().any(|at| holds(&field, Coord { x: at.y, y: at.x })) {
        return Elsewhere::Swapped;
    }
    let middle = Point::from(field.center());
    let away = places().map(|at| Geodesic.distance(Point::from(*at), middle));
    let nearest = away.filter(|away| away.is_finite()).min_by(f64::total_cmp);
    Elsewhere::Away(nearest.map(Length::metres))
}

/// How many of a layer's features would lie at the field, were their longitudes and latitudes swapped,
/// and do not as they are.
pub(super) fn swapped(layer: &KeepOutLayer, boundary: &Boundary) -> usize {
    let Some(field) = boundary.wgs84().bounding_rect() else { return 0 };
    let is_swapped = |feature: &&Feature| {
        let mut places = feature.lines.iter().flatten();
        places.all(|at| !holds(&field, *at) && holds(&field, Coord { x: at.y, y: at.x }))
    };
    layer.features.iter().filter(is_swapped).count()
}

/// Whether a place is in a field's box, with as much room around it as it is large.
fn holds(field: &Rect<f64>, at: Coord<f64>) -> bool {
    let off = at - field.center();
    off.x.abs() <= 1.5 * field.width() && off.y.abs() <= 1.5 * field.height()
}
