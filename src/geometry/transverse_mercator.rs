//! The transverse Mercator projection of the WGS84 ellipsoid.
//!
//! Series to the sixth order in the third flattening, as L. Krüger gave them and C. F. F. Karney
//! wrote them out ("Transverse Mercator with an accuracy of a few nanometers", *Journal of Geodesy*
//! 85, 2011, 475-485). Within 3,900 km of the meridian they are good to 5 nm.
//!
//! PROJ does the same sums, but opens its database of coordinate systems each time that a projection
//! is set up: ten milliseconds, a dozen times a plan.

use geo::Coord;

/// The equatorial radius of WGS84, in meters, and its flattening (NIMA TR8350.2).
const EQUATORIAL_RADIUS: f64 = 6_378_137.0;
const FLATTENING: f64 = 1.0 / 298.257_223_563;

/// The third flattening.
const N: f64 = FLATTENING / (2.0 - FLATTENING);
/// One less the squared eccentricity.
const E2M: f64 = (1.0 - FLATTENING) * (1.0 - FLATTENING);

/// The radius of the circle as long as a meridian.
const RADIUS: f64 =
    EQUATORIAL_RADIUS / (1.0 + N) * series([1.0, 0.0, 0.25, 0.0, 1.0 / 64.0, 0.0, 1.0 / 256.0]);

/// From the conformal sphere to the plane.
#[rustfmt::skip]
const TO_PLANE: [f64; 6] = [
    series([0.0, 1.0/2.0, -2.0/3.0, 5.0/16.0, 41.0/180.0, -127.0/288.0, 7891.0/37800.0]),
    series([0.0, 0.0, 13.0/48.0, -3.0/5.0, 557.0/1440.0, 281.0/630.0, -1_983_433.0/1_935_360.0]),
    series([0.0, 0.0, 0.0, 61.0/240.0, -103.0/140.0, 15061.0/26880.0, 167_603.0/181_440.0]),
    series([0.0, 0.0, 0.0, 0.0, 49561.0/161_280.0, -179.0/168.0, 6_601_661.0/7_257_600.0]),
    series([0.0, 0.0, 0.0, 0.0, 0.0, 34729.0/80640.0, -3_418_889.0/1_995_840.0]),
    series([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 212_378_941.0/319_334_400.0]),
];

/// From the plane to the conformal sphere, with the sign that they are used with.
#[rustfmt::skip]
const TO_SPHERE: [f64; 6] = [
    -series([0.0, 1.0/2.0, -2.0/3.0, 37.0/96.0, -1.0/360.0, -81.0/512.0, 96199.0/604_800.0]),
    -series([0.0, 0.0, 1.0/48.0, 1.0/15.0, -437.0/1440.0, 46.0/105.0, -1_118_711.0/3_870_720.0]),
    -series([0.0, 0.0, 0.0, 17.0/480.0, -37.0/840.0, -209.0/4480.0, 5569.0/90720.0]),
    -series([0.0, 0.0, 0.0, 0.0, 4397.0/161_280.0, -11.0/504.0, -830_251.0/7_257_600.0]),
    -series([0.0, 0.0, 0.0, 0.0, 0.0, 4583.0/161_280.0, -108_847.0/3_991_680.0]),
    -series([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 20_648_693.0/638_668_800.0]),
];

/// A polynomial in the third flattening, the constant first.
#[expect(clippy::indexing_slicing, reason = "in constants, where it would not compile")]
const fn series(terms: [f64; 7]) -> f64 {
    let (mut sum, mut power) = (0.0, 7);
    while power > 0 {
        power -= 1;
        sum = sum * N + terms[power];
    }
    sum
}

/// Easting and northing from a center, in meters, of a longitude from its meridian and a latitude,
/// in radians, and back. Scale 1 on the meridian.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TransverseMercator {
    /// The center's distance from the equator in radii.
    north: f64,
}

impl TransverseMercator {
    /// The projection around a latitude in radians.
    pub fn around(latitude: f64) -> Self {
        Self { north: plane(0.0, latitude).y }
    }

    /// To meters.
    pub fn project(self, longitude: f64, latitude: f64) -> Coord<f64> {
        let at = plane(longitude, latitude);
        Coord { x: RADIUS * at.x, y: RADIUS * (at.y - self.north) }
    }

    /// To longitude from the meridian and latitude, in radians.
    pub fn unproject(self, metres: Coord<f64>) -> Coord<f64> {
        let at = Coord { x: metres.x / RADIUS, y: metres.y / RADIUS + self.north };
        let Coord { x, y } = shifted(at, &TO_SPHERE);
        let conformal = libm::sin(y) / libm::hypot(libm::sinh(x), libm::cos(y));
        Coord { x: libm::atan2(libm::sinh(x), libm::cos(y)), y: libm::atan(geodetic(conformal)) }
    }
}

/// Easting and northing from the equator in radii.
fn plane(longitude: f64, latitude: f64) -> Coord<f64> {
    let tangent = conformal(libm::tan(latitude));
    let (east, north) = libm::sincos(longitude);
    let at = Coord {
        x: libm::asinh(east / libm::hypot(tangent, north)),
        y: libm::atan2(tangent, north),
    };
    shifted(at, &TO_PLANE)
}

/// The tangent of the conformal latitude from that of the geodetic one.
fn conformal(tangent: f64) -> f64 {
    let eccentricity = (1.0 - E2M).sqrt();
    let secant = libm::hypot(1f64, tangent);
    let sigma = libm::sinh(eccentricity * libm::atanh(eccentricity * tangent / secant));
    tangent * libm::hypot(1f64, sigma) - sigma * secant
}

/// The inverse of [`conformal`], by Newton's method.
fn geodetic(wanted: f64) -> f64 {
    let mut tangent = wanted / E2M.sqrt();
    // Two steps reach the last digit; a third one costs little.
    for _ in 0..3 {
        let made = conformal(tangent);
        let slope = (1.0 + E2M * tangent * tangent) / (E2M * libm::hypot(1f64, tangent));
        tangent += (wanted - made) / libm::hypot(1f64, made) * slope;
    }
    tangent
}

/// A place y + ix plus the sum of the j-th coefficient times sin 2j(y + ix), in complex numbers, by
/// Clenshaw's summation.
fn shifted(at: Coord<f64>, coefficients: &[f64; 6]) -> Coord<f64> {
    let (sin, cos) = libm::sincos(2.0 * at.y);
    let (doubled_sinh, doubled_cosh) = (2.0 * libm::sinh(2.0 * at.x), 2.0 * libm::cosh(2.0 * at.x));
    // Twice the cosine of 2(y + ix).
    let (real, imaginary) = (cos * doubled_cosh, -sin * doubled_sinh);
    let (mut one, mut two) = ((0.0, 0.0), (0.0, 0.0));
    for coefficient in coefficients.iter().rev() {
        let next = (
            real * one.0 - imaginary * one.1 - two.0 + coefficient,
            real * one.1 + imaginary * one.0 - two.1,
        );
        (one, two) = (next, one);
    }
    // Its sine.
    let (real, imaginary) = (0.5 * sin * doubled_cosh, 0.5 * cos * doubled_sinh);
    Coord { x: at.x + real * one.1 + imaginary * one.0, y: at.y + real * one.0 - imaginary * one.1 }
}
