use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon, Rect, Winding, unary_union};

use super::{Feature, clip};

mod outline;
mod ribbon;

/// Room around the window, in meters, so that nothing that is cut off ends on its edge.
const MARGIN_M: f64 = 1.0;

/// What lies within a distance (meters) of features, as far as the window shows it; outside the
/// window what is given means nothing.
///
/// Nothing within the distance is left out, but for the grid of the polygon operations (under
/// 0.1 mm within 50 km), and nothing farther than the distance and 5 mm is in: sides are straight at
/// the very distance, and round ends are drawn around their circle, not inside it. Of a line there is
/// no distance below 1 mm but none at all.
#[must_use]
pub fn buffer(features: &[Feature], distance: f64, window: &Rect<f64>) -> MultiPolygon<f64> {
    let room = Coord { x: distance + MARGIN_M, y: distance + MARGIN_M };
    let window = Rect::new(window.min() - room, window.max() + room);
    let (mut areas, mut lines) = (Vec::new(), Vec::new());
    for feature in features {
        if feature.filled {
            let rings = feature.lines.iter().map(|ring| clip::ring(ring, &window));
            areas.extend(even_odd(rings.map(piece).collect()));
        }
        if distance > 0.0 {
            for line in &feature.lines {
                let closing = line.first().filter(|_| feature.filled);
                let line: Vec<Coord<f64>> = line.iter().chain(closing).copied().collect();
                lines.extend(clip::line(&line, &window));
            }
        }
    }
    areas.extend(outline::around(lines, distance));
    unary_union(&areas)
}

/// What an odd number of rings encloses, as sound polygons.
fn even_odd(rings: Vec<Polygon<f64>>) -> MultiPolygon<f64> {
    MultiPolygon(rings).union(&MultiPolygon(vec![]))
}

/// A polygon without holes, counter-clockwise, on the grid: rounding may turn the smallest ones.
fn piece(ring: Vec<Coord<f64>>) -> Polygon<f64> {
    let mut ring = LineString(ring.into_iter().map(on_grid).collect());
    ring.close();
    ring.make_ccw_winding();
    Polygon::new(ring, vec![])
}

/// The nearest whole multiple of 2^-16 m (15 µm) in both coordinates.
///
/// Polygon operations work on a grid of a power of two of a meter. Between numbers like these and
/// the grid's no rounding comes, so that what is sound there is sound here.
#[must_use]
pub fn on_grid(at: Coord<f64>) -> Coord<f64> {
    const CELLS: f64 = 65_536.0;
    Coord { x: (at.x * CELLS).round() / CELLS, y: (at.y * CELLS).round() / CELLS }
}

#[cfg(test)]
mod tests;
