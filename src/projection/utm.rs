use geo::Coord;

use super::Area;
use crate::geometry::TransverseMercator;

/// Scale on the central meridian, and what is added to easting and, in the south, to northing, in
/// meters (EPSG guidance note 7-2, section 3.2.3: UTM is a transverse Mercator with these).
const SCALE: f64 = 0.9996;
const FALSE_EASTING: f64 = 500_000.0;
const FALSE_NORTHING: f64 = 10_000_000.0;

/// A zone of WGS84 UTM.
#[derive(Clone, Copy, Debug)]
pub(super) struct Utm {
    /// 1 to 60.
    zone: u8,
    south: bool,
}

impl Utm {
    /// The zone that a code of the EPSG names: 32601 to 32660 in the north, 32701 to 32760 in the
    /// south.
    pub fn of_epsg(code: &str) -> Option<Self> {
        let code: u16 = code.parse().ok()?;
        let zone = u8::try_from(code % 100).ok().filter(|zone| (1..=60).contains(zone))?;
        match code / 100 {
            326 => Some(Utm { zone, south: false }),
            327 => Some(Utm { zone, south: true }),
            _ => None,
        }
    }

    /// What people call it.
    pub fn name(self) -> String {
        let (side, letter) = if self.south { (7, 'S') } else { (6, 'N') };
        let zone = self.zone;
        format!("WGS 84 / UTM zone {zone}{letter} (EPSG:32{side}{zone:02})")
    }

    fn meridian(self) -> f64 {
        6.0 * f64::from(self.zone) - 183.0
    }

    /// Where it is used, as the EPSG's register has it.
    pub fn area(self) -> Area {
        let (south, north) = if self.south { (-80.0, 0.0) } else { (0.0, 84.0) };
        Area { west: self.meridian() - 3.0, south, east: self.meridian() + 3.0, north }
    }

    /// Longitude and latitude in degrees of an easting and northing in meters. No number where
    /// these are farther off than a quarter of the Earth, where the projection has no meaning.
    pub fn to_wgs84(self, place: Coord<f64>) -> Coord<f64> {
        let false_northing = if self.south { FALSE_NORTHING } else { 0.0 };
        let metres =
            Coord { x: (place.x - FALSE_EASTING) / SCALE, y: (place.y - false_northing) / SCALE };
        if metres.x.abs().max(metres.y.abs()) > 1e7 {
            return Coord { x: f64::NAN, y: f64::NAN };
        }
        let radians = TransverseMercator::around(0.0).unproject(metres);
        let longitude = self.meridian() + radians.x.to_degrees();
        // Across the antimeridian.
        let turns = if longitude.abs() > 180.0 { 360f64.copysign(longitude) } else { 0.0 };
        Coord { x: longitude - turns, y: radians.y.to_degrees() }
    }
}
