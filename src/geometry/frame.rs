use geo::Coord;

use super::transverse_mercator::TransverseMercator;

/// The farthest from the center that a point may be, in meters: well inside the quarter of the
/// Earth where the projection is sound.
const REACH: f64 = 3_000_000.0;

/// A point that is no place, or too far from a frame's center.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "{}, {} in the field's frame around {:.4}, {:.4}: this point has no longitude and latitude; check the coordinate system and the order of the coordinates",
    given.0, given.1, centre.0, centre.1
)]
pub struct OutOfReach {
    /// The two coordinates as given.
    pub given: (f64, f64),
    /// The frame's center, longitude and latitude.
    pub centre: (f64, f64),
}

/// The field's own meters: a transverse Mercator projection of the WGS84 ellipsoid around a center,
/// scale 1 on the center's meridian.
///
/// The scale error at a distance d east or west of the center is d²/2R²: 3e-8 a mile away, under
/// 1e-6 up to 9 km. Coordinates are easting and northing from the center in meters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    centre: Coord<f64>,
}

impl Frame {
    /// The frame around a center given as WGS84 longitude and latitude in degrees.
    #[must_use]
    pub fn around(centre: Coord<f64>) -> Self {
        Frame { centre }
    }

    /// The center, WGS84 longitude and latitude in degrees.
    #[must_use]
    pub fn centre(&self) -> Coord<f64> {
        self.centre
    }

    /// Easting and northing in meters of a WGS84 longitude and latitude in degrees.
    ///
    /// # Errors
    /// When the point is no place, or farther away than 3,000 km.
    pub fn to_local(&self, wgs84: Coord<f64>) -> Result<Coord<f64>, OutOfReach> {
        let mut coords = [wgs84];
        self.all_to_local(&mut coords)?;
        let [coord] = coords;
        Ok(coord)
    }

    /// WGS84 longitude and latitude in degrees of an easting and northing in meters.
    ///
    /// # Errors
    /// When the point is farther away than 3,000 km.
    pub fn to_wgs84(&self, local: Coord<f64>) -> Result<Coord<f64>, OutOfReach> {
        let mut coords = [local];
        self.all_to_wgs84(&mut coords)?;
        let [coord] = coords;
        Ok(coord)
    }

    /// [`Frame::to_local`] on many coordinates, in place.
    ///
    /// # Errors
    /// When a point is too far away; the coordinates before it are converted already.
    pub fn all_to_local(&self, coords: &mut [Coord<f64>]) -> Result<(), OutOfReach> {
        let projection = TransverseMercator::around(self.centre.y.to_radians());
        for coord in coords {
            let east = (coord.x - self.centre.x).to_radians();
            let made = projection.project(east, coord.y.to_radians());
            let far = libm::hypot(made.x, made.y);
            if far.is_nan() || far > REACH || coord.y.abs() > 90.0 {
                return Err(self.outside(*coord));
            }
            *coord = made;
        }
        Ok(())
    }

    /// [`Frame::to_wgs84`] on many coordinates, in place.
    ///
    /// # Errors
    /// When a point is too far away; the coordinates before it are converted already.
    pub fn all_to_wgs84(&self, coords: &mut [Coord<f64>]) -> Result<(), OutOfReach> {
        let projection = TransverseMercator::around(self.centre.y.to_radians());
        for coord in coords {
            let far = libm::hypot(coord.x, coord.y);
            if far.is_nan() || far > REACH {
                return Err(self.outside(*coord));
            }
            let radians = projection.unproject(*coord);
            let longitude = self.centre.x + radians.x.to_degrees();
            // Across the antimeridian.
            let turns = if longitude.abs() > 180.0 { 360f64.copysign(longitude) } else { 0.0 };
            *coord = Coord { x: longitude - turns, y: radians.y.to_degrees() };
        }
        Ok(())
    }

    fn outside(&self, given: Coord<f64>) -> OutOfReach {
        OutOfReach { given: given.into(), centre: self.centre.into() }
    }
}

#[cfg(test)]
mod tests {
    use geo::{Distance, Geodesic, Point};

    use super::*;

    fn sendable<T: Send + Sync>(_: &T) {}

    /// Against geodesic distances (Karney): under 1e-6 anywhere in a field of 2 miles.
    #[test]
    fn scale_error_is_under_a_millionth_over_two_miles() {
        for centre in [(-85.2, 40.1), (-119.8, 36.7), (18.5, -33.9), (25.0, 65.0)] {
            let frame = Frame::around(Coord { x: centre.0, y: centre.1 });
            sendable(&frame);
            let half = 1609.344;
            for (east, north) in [(-1.0, -1.0), (1.0, -1.0), (0.0, 0.0), (1.0, 1.0), (-1.0, 1.0)] {
                let corner = Coord { x: east * half, y: north * half };
                for (dx, dy) in [(30.0, 0.0), (0.0, 30.0), (21.0, 21.0)] {
                    let ends = [corner, Coord { x: corner.x + dx, y: corner.y + dy }];
                    let mut wgs84 = ends;
                    frame.all_to_wgs84(&mut wgs84).unwrap();
                    let ground = Geodesic.distance(Point(wgs84[0]), Point(wgs84[1]));
                    let drawn = dx.hypot(dy);
                    assert!((drawn / ground - 1.0).abs() < 1e-6, "{centre:?} {corner:?}");
                }
            }
        }
    }

    #[test]
    fn there_and_back_closes_to_a_tenth_of_a_micrometre() {
        let frame = Frame::around(Coord { x: -85.2, y: 40.1 });
        for (x, y) in [(0.0, 0.0), (800.0, -1200.0), (-1609.3, 1609.3)] {
            let local = Coord { x, y };
            let back = frame.to_local(frame.to_wgs84(local).unwrap()).unwrap();
            assert!((back.x - x).hypot(back.y - y) < 1e-7, "{back:?}");
        }
        assert!(frame.to_local(frame.centre()).unwrap().x.abs() < 1e-9);
    }

    #[test]
    fn nonsense_is_refused() {
        let frame = Frame::around(Coord { x: -85.2, y: 40.1 });
        assert!(frame.to_local(Coord { x: f64::NAN, y: 40.0 }).is_err());
        assert!(frame.to_local(Coord { x: -85.2, y: f64::INFINITY }).is_err());
    }
}
