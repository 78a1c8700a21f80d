use geo::{GeodesicArea, Polygon};

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

/// The area of a square degree at a latitude in degrees: the product of the radii of curvature along
/// the meridian and along the parallel, in square metres a square degree (Snyder 1987, *Map
/// Projections: A Working Manual*, equations 4-18 and 4-20; WGS84: a = 6378137 m,
/// 1/f = 298.257223563).
#[must_use]
pub fn square_degree(latitude: f64) -> Area {
    const A: f64 = 6_378_137.0;
    const F: f64 = 1.0 / 298.257_223_563;
    const E2: f64 = F * (2.0 - F);
    let (sin, cos) = latitude.to_radians().sin_cos();
    let root = (1.0 - E2 * sin * sin).sqrt();
    let meridian = A * (1.0 - E2) / (root * root * root);
    let parallel = A / root * cos;
    let radian = 1.0_f64.to_radians();
    Area::square_metres(meridian * parallel * radian * radian)
}

#[cfg(test)]
mod tests {
    use geo::{Rect, coord};

    use super::*;

    /// Against Karney's geodesic area of a box of 11 m by 11 m or less.
    #[test]
    fn square_degrees_against_geodesic_areas() {
        for latitude in [-54.0, -12.5, 0.0, 40.4, 65.0] {
            let (low, high) =
                (coord! { x: 10.0, y: latitude - 5e-5 }, coord! { x: 10.0001, y: latitude + 5e-5 });
            let expected = geodesic_area(&Rect::new(low, high).to_polygon()).as_square_metres();
            let found = square_degree(latitude).as_square_metres() * 1e-8;
            // The box is cut from degrees with 1e-14: parts in 1e9 of its sides.
            assert!((found / expected - 1.0).abs() < 1e-8, "{latitude}: {found} {expected}");
        }
    }
}
