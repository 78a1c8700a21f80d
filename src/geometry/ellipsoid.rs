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
