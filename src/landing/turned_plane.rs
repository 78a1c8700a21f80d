use geo::{Coord, MapCoords, Polygon};

/// The field's meters turned so that a heading runs along the second axis: the first coordinate is
/// how far to the right of the heading, the second how far along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TurnedPlane {
    sin: f64,
    cos: f64,
}

impl TurnedPlane {
    /// By a heading in radians, clockwise from north.
    #[must_use]
    pub fn to(heading: f64) -> Self {
        // Exactly north or east for the lattice's sake: their sines come out a bit off zero.
        let exact = |value: f64| if value.abs() < 1e-15 { 0.0 } else { value };
        Self { sin: exact(libm::sin(heading)), cos: exact(libm::cos(heading)) }
    }

    /// The same way up and down, with the heading between west and east by north: of the two directions
    /// that passes run in, the more northerly one.
    #[must_use]
    pub fn northward(heading: f64) -> f64 {
        use std::f64::consts::{FRAC_PI_2, PI};
        let turned = (heading + FRAC_PI_2).rem_euclid(PI) - FRAC_PI_2;
        if turned.abs() < 1e-15 { 0.0 } else { turned }
    }

    /// The heading, in radians clockwise from north.
    #[must_use]
    pub fn heading(&self) -> f64 {
        libm::atan2(self.sin, self.cos)
    }

    /// An easting and northing in the turned plane.
    #[must_use]
    pub fn from_plane(&self, at: Coord<f64>) -> Coord<f64> {
        Coord { x: at.x * self.cos - at.y * self.sin, y: at.x * self.sin + at.y * self.cos }
    }

    /// The easting and northing of a place in the turned plane.
    #[must_use]
    pub fn to_plane(&self, at: Coord<f64>) -> Coord<f64> {
        Coord { x: at.x * self.cos + at.y * self.sin, y: at.y * self.cos - at.x * self.sin }
    }

    /// A polygon in the turned plane.
    #[must_use]
    pub fn polygon(&self, polygon: &Polygon<f64>) -> Polygon<f64> {
        polygon.map_coords(|at| self.from_plane(at))
    }
}
