use geo::{Coord, GeodesicArea, Polygon};

use crate::units::Area;

/// The area of a polygon in WGS84 longitude and latitude, in degrees, on the ellipsoid.
///
/// Edges are geodesics (Karney 2013, *Algorithms for geodesics*, J. Geodesy 87:43); the error is
/// under 0.1 m² for a polygon the size of a field. Either winding gives the same area.
#[must_use]
pub fn geodesic_area(polygon: &Polygon<f64>) -> Area {
    let ring = |line: &geo::LineString<f64>| {
        Polygon::new(line.clone(), Vec::new()).geodesic_area_signed().abs()
    };
    let holes: f64 = polygon.interiors().iter().map(ring).sum();
    Area::square_metres(ring(polygon.exterior()) - holes)
}

/// The lengths in meters of a degree of longitude (`x`) and of latitude (`y`) at a latitude in
/// degrees: the radii of curvature along the parallel and along the meridian (Snyder 1987, *Map
/// Projections: A Working Manual*, equations 4-18 and 4-20; WGS84: a = 6378137 m,
/// 1/f = 298.257223563).
#[must_use]
pub fn degree(latitude: f64) -> Coord<f64> {
    const A: f64 = 6_378_137.0;
    const F: f64 = 1.0 / 298.257_223_563;
    const E2: f64 = F * (2.0 - F);
    let (sin, cos) = libm::sincos(latitude.to_radians());
    let root = (1.0 - E2 * sin * sin).sqrt();
    let radians = Coord { x: A / root * cos, y: A * (1.0 - E2) / (root * root * root) };
    radians * 1.0_f64.to_radians()
}

/// The area of a small box in longitude and latitude of these sides in degrees, around a latitude.
#[must_use]
pub fn box_area(latitude: f64, sides: Coord<f64>) -> Area {
    let degree = degree(latitude);
    Area::square_metres(degree.x * sides.x * degree.y * sides.y)
}

#[cfg(test)]
mod tests {
    use geo::{Rect, coord};

    use super::*;

    /// Against Karney's geodesic area of a box of 11 m by 11 m or less.
    #[test]
    fn small_boxes_against_geodesic_areas() {
        for latitude in [-54.0, -12.5, 0.0, 40.4, 65.0] {
            let (low, high) =
                (coord! { x: 10.0, y: latitude - 5e-5 }, coord! { x: 10.0001, y: latitude + 5e-5 });
            let expected = geodesic_area(&Rect::new(low, high).to_polygon()).as_square_metres();
            let found = box_area(latitude, coord! { x: 1e-4, y: 1e-4 }).as_square_metres();
            // The box is cut from degrees with 1e-14: parts in 1e9 of its sides.
            assert!((found / expected - 1.0).abs() < 1e-8, "{latitude}: {found} {expected}");
        }
    }

    /// A degree of longitude at the equator is a / (180/π), one of latitude at the pole
    /// a²/b / (180/π).
    #[test]
    fn degrees_by_hand() {
        assert!((degree(0.0).x - 111_319.491).abs() < 1e-3);
        assert!((degree(90.0).y - 111_693.980).abs() < 1e-2);
    }
}
