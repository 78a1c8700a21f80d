use geo::{Coord, Polygon};

use crate::inspect::geometry;
use crate::read::taskdata::Element;

/// The polygons of a PLN element; `None` where they cannot be drawn. More than one outer ring, as
/// version 3 of the standard allows, gives more than one.
pub(super) fn polygons(
    place: &str,
    outline: &Element,
    departures: &mut Vec<String>,
) -> Option<Vec<Polygon<f64>>> {
    let mut parts: Vec<Vec<Vec<Coord<f64>>>> = Vec::new();
    for line in outline.all("LSG") {
        let ring: Vec<Coord<f64>> = line.all("PNT").map(position).collect();
        match (line.get("A"), parts.last_mut()) {
            (Some("1"), _) => parts.push(vec![ring]),
            (Some("2"), Some(part)) => part.push(ring),
            (Some("2"), None) => {
                departures.push(format!("{place}: a hole comes before the outer ring"));
                return None;
            }
            (kind, _) => departures.push(format!(
                "{place}: a line of type {} in a polygon, expected 1 or 2 (LSG A)",
                kind.unwrap_or("none")
            )),
        }
    }
    if parts.len() > 1 {
        let found = parts.len();
        departures.push(format!("{place}: a polygon has {found} outer rings, expected one"));
    }
    if let Err(reason) = geometry::degrees(parts.iter().flatten().flatten().copied()) {
        departures.push(format!("{place}: {reason}"));
        return None;
    }
    geometry::polygons(place, &parts, None, departures)
}

/// A position; what is no number becomes none, and is told with its ring.
fn position(point: &Element) -> Coord<f64> {
    let number = |attribute| point.get(attribute).and_then(|text| text.trim().parse().ok());
    Coord { x: number("D").unwrap_or(f64::NAN), y: number("C").unwrap_or(f64::NAN) }
}
