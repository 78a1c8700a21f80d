//! Rings, one by one.

use geo::{Area as _, Coord, LineString, Polygon, Validation};

/// Rings with more positions than this are not looked at for crossings: it would take minutes.
const MOST_CHECKED: usize = 50_000;

/// A shape's parts as polygons, in degrees; `None` where they cannot be drawn. Everything that is
/// wrong with its rings is told.
pub(super) fn polygons(
    place: &str,
    parts: &[Vec<Vec<Coord<f64>>>],
    counter_clockwise: Option<bool>,
    departures: &mut Vec<String>,
) -> Option<Vec<Polygon<f64>>> {
    if parts.iter().all(Vec::is_empty) {
        departures.push(format!("{place}: there is no ring"));
        return None;
    }
    let mut drawn = true;
    for (number, rings) in parts.iter().enumerate() {
        for (ring, coords) in rings.iter().enumerate() {
            let place = if parts.len() == 1 {
                format!("{place}, ring {}", ring + 1)
            } else {
                format!("{place}, part {}, ring {}", number + 1, ring + 1)
            };
            drawn &= check_ring(&place, coords, departures);
            if let Some(counter_clockwise) = counter_clockwise.filter(|_| drawn) {
                check_winding(&place, coords, counter_clockwise == (ring == 0), departures);
            }
        }
    }
    if !drawn {
        return None;
    }
    let polygon = |rings: &Vec<Vec<Coord<f64>>>| {
        let mut lines = rings.iter().map(|ring| LineString(ring.clone()));
        lines.next().map(|exterior| Polygon::new(exterior, lines.collect()))
    };
    let polygons: Vec<Polygon<f64>> = parts.iter().filter_map(polygon).collect();
    for polygon in &polygons {
        let count = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        if count.map(|ring| ring.0.len()).sum::<usize>() > MOST_CHECKED {
            departures.push(format!(
                "{place}: it has more than {MOST_CHECKED} positions; it was not looked at for crossings"
            ));
        } else if let Err(error) = polygon.check_validation() {
            departures.push(format!("{place}: the polygon is not sound: {error}"));
            return None;
        }
    }
    Some(polygons)
}

/// Whether a ring can be drawn.
fn check_ring(place: &str, coords: &[Coord<f64>], departures: &mut Vec<String>) -> bool {
    if coords.iter().any(|at| !at.x.is_finite() || !at.y.is_finite()) {
        departures.push(format!("{place}: a position is not a number (NaN or infinite)"));
        return false;
    }
    let closed = coords.first() == coords.last();
    if !closed {
        departures.push(format!("{place}: it is not closed, the last position is not the first"));
    }
    let distinct = coords.len().saturating_sub(usize::from(closed && coords.len() > 1));
    if distinct < 3 {
        departures
            .push(format!("{place}: it has {distinct} different positions, expected 3 or more"));
        return false;
    }
    true
}

fn check_winding(place: &str, coords: &[Coord<f64>], expected: bool, departures: &mut Vec<String>) {
    let area = Polygon::new(LineString(coords.to_vec()), vec![]).signed_area();
    if area != 0.0 && (area > 0.0) != expected {
        let (found, wanted) = if expected {
            ("clockwise", "counter-clockwise")
        } else {
            ("counter-clockwise", "clockwise")
        };
        departures.push(format!("{place}: it runs {found}, expected {wanted}"));
    }
}

/// Whether positions can be longitudes and latitudes; what is wrong otherwise.
pub(super) fn degrees(coords: impl Iterator<Item = Coord<f64>>) -> Result<(), String> {
    let outside = |at: &Coord<f64>| at.x.abs() > 180.0 || at.y.abs() > 90.0;
    match coords.filter(|at| at.x.is_finite() && at.y.is_finite()).find(outside) {
        None => Ok(()),
        Some(at) if at.x.abs() <= 90.0 && at.y.abs() <= 180.0 => Err(format!(
            "the position {}, {} is no longitude and latitude; they look swapped",
            at.x, at.y
        )),
        Some(at) => Err(format!(
            "the position {}, {} is no longitude and latitude in degrees; it looks projected",
            at.x, at.y
        )),
    }
}
