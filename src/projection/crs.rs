use geo::Coord;

use super::prj::is_wgs84;
use super::utm::Utm;
use super::{Area, CrsError};

#[cfg(feature = "proj")]
use super::registered::Registered;

/// How far outside its area of use a coordinate system may be used, in degrees: farms lie beside
/// zone borders and use the neighbor's zone, but never three UTM zones away.
const SLACK_DEGREES: f64 = 15.0;

/// A geographic or projected coordinate reference system.
///
/// Axes are always longitude, latitude in degrees, or easting, northing in the system's own unit,
/// whatever order its definition gives. WGS84 and its UTM zones are this crate's own; all others
/// need the feature `proj`.
#[derive(Clone, Debug)]
pub struct Crs {
    name: String,
    system: System,
}

#[derive(Clone, Debug)]
enum System {
    Wgs84,
    Utm(Utm),
    #[cfg(feature = "proj")]
    Registered(Registered),
}

impl Crs {
    /// WGS84 longitude and latitude, as GeoJSON and GPS receivers give.
    #[must_use]
    pub fn wgs84() -> Self {
        Crs { name: "WGS 84".to_owned(), system: System::Wgs84 }
    }

    /// A coordinate system by its name, such as `"EPSG:2965"`.
    ///
    /// # Errors
    /// When PROJ's database does not hold it, or it is neither geographic nor projected.
    pub fn named(name: &str) -> Result<Self, CrsError> {
        let name = name.trim();
        let upper = name.to_ascii_uppercase();
        if matches!(upper.as_str(), "EPSG:4326" | "WGS84" | "OGC:CRS84") {
            return Ok(Crs::wgs84());
        }
        if let Some(utm) = upper.strip_prefix("EPSG:").and_then(Utm::of_epsg) {
            return Ok(Crs { name: utm.name(), system: System::Utm(utm) });
        }
        registered(if upper.starts_with("EPSG:") { &upper } else { name })
    }

    /// The coordinate system that the text of a `.prj` file describes.
    ///
    /// # Errors
    /// When PROJ cannot read the text, or it is neither geographic nor projected.
    pub fn from_prj(text: &str) -> Result<Self, CrsError> {
        let text = text.trim_matches(|c: char| c == '\u{feff}' || c == '\0' || c.is_whitespace());
        if is_wgs84(text) {
            return Ok(Crs::wgs84());
        }
        registered(text)
    }

    /// What people call it.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Whether its coordinates are longitude and latitude.
    #[must_use]
    pub fn is_geographic(&self) -> bool {
        match &self.system {
            System::Wgs84 => true,
            System::Utm(_) => false,
            #[cfg(feature = "proj")]
            System::Registered(system) => system.geographic,
        }
    }

    /// Converts coordinates to WGS84 longitude and latitude in degrees, in place.
    ///
    /// WGS84 itself is left as it is, bit for bit. Gives the accuracy of the datum shift in meters
    /// where it is known: NAD83 is taken as WGS84 and is good to about 4 m.
    ///
    /// # Errors
    /// When a coordinate has no counterpart, or lies far outside the area of use.
    pub fn to_wgs84(&self, coords: &mut [Coord<f64>]) -> Result<Option<f64>, CrsError> {
        match &self.system {
            System::Wgs84 => {
                self.convert(coords, None, Some)?;
                Ok(Some(0.0))
            }
            System::Utm(utm) => {
                self.convert(coords, Some(utm.area()), |place| Some(utm.to_wgs84(place)))?;
                Ok(Some(0.0))
            }
            #[cfg(feature = "proj")]
            System::Registered(system) => {
                let way = system.way().ok_or(CrsError::NoDatabase)?;
                self.convert(coords, system.area, |place| way.convert(place))?;
                Ok(way.accuracy())
            }
        }
    }

    fn convert(
        &self,
        coords: &mut [Coord<f64>],
        used: Option<Area>,
        way: impl Fn(Coord<f64>) -> Option<Coord<f64>>,
    ) -> Result<(), CrsError> {
        let finite = |place: &Coord<f64>| place.x.is_finite() && place.y.is_finite();
        for coord in coords {
            let given = *coord;
            let converted = Some(given).filter(finite).and_then(&way).filter(finite);
            let Some(converted) = converted else {
                return Err(CrsError::Outside {
                    crs: self.name.clone(),
                    first: given.x,
                    second: given.y,
                });
            };
            if used.is_some_and(|area| is_far_outside(area, converted)) {
                return Err(CrsError::FarOutside {
                    crs: self.name.clone(),
                    first: given.x,
                    second: given.y,
                    longitude: converted.x,
                    latitude: converted.y,
                });
            }
            *coord = converted;
        }
        Ok(())
    }
}

#[cfg(feature = "proj")]
fn registered(definition: &str) -> Result<Crs, CrsError> {
    Registered::read(definition)
        .map(|(name, system)| Crs { name, system: System::Registered(system) })
}

#[cfg(not(feature = "proj"))]
fn registered(definition: &str) -> Result<Crs, CrsError> {
    Err(CrsError::NoProj { definition: super::error::first_line(definition) })
}

fn is_far_outside(area: Area, place: Coord<f64>) -> bool {
    let latitude = area.south - SLACK_DEGREES..=area.north + SLACK_DEGREES;
    // Eastward from the western edge, so that the antimeridian is no border.
    let round = if area.west > area.east { 360.0 } else { 0.0 };
    let width = area.east - area.west + round + 2.0 * SLACK_DEGREES;
    let eastward = (place.x - area.west + SLACK_DEGREES).rem_euclid(360.0);
    !latitude.contains(&place.y) || eastward > width
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wgs84_stays_bit_for_bit() {
        let given = [Coord { x: -85.123_456_789_012_34, y: 40.1 + f64::EPSILON }];
        for crs in [
            Crs::wgs84(),
            Crs::named("epsg:4326").unwrap(),
            Crs::from_prj(&super::super::wgs84_prj()).unwrap(),
        ] {
            let mut coords = given;
            assert_eq!(crs.to_wgs84(&mut coords), Ok(Some(0.0)), "{crs:?}");
            assert_eq!(coords, given, "{crs:?}");
        }
    }

    #[test]
    fn nonsense_coordinates_are_refused() {
        let crs = Crs::named("EPSG:32616").unwrap();
        for (first, second) in [(f64::NAN, 0.0), (f64::INFINITY, 1.0), (1e30, 1e30)] {
            assert!(crs.to_wgs84(&mut [Coord { x: first, y: second }]).is_err());
        }
        let said = crs.to_wgs84(&mut [Coord { x: 4_440_408.0, y: 653_427.0 }]).unwrap_err();
        assert_eq!(
            said.to_string(),
            "4440408, 653427 in WGS 84 / UTM zone 16N (EPSG:32616): this is longitude -53.5232, latitude 4.9290, far outside the area where that coordinate system is used; check the coordinate system and the order of the coordinates"
        );
    }

    #[cfg(not(feature = "proj"))]
    #[test]
    fn without_proj_other_systems_are_told_of() {
        assert_eq!(
            Crs::named("epsg:2965").unwrap_err().to_string(),
            "\"EPSG:2965\": this build of landplaster has no PROJ and knows WGS 84 (EPSG:4326) and its UTM zones (EPSG:32601 to 32660, 32701 to 32760) alone; give coordinates in one of these, or build with the feature \"proj\""
        );
    }
}
