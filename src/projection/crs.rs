use std::rc::Rc;

use geo::Coord;
use proj::{Area, Proj};

use super::CrsError;
use super::quiet::quietly;

const WGS84: &str = "EPSG:4326";

/// How far outside its area of use a coordinate system may be used, in degrees: farms lie beside
/// zone borders and use the neighbour's zone, but never three UTM zones away.
const SLACK_DEGREES: f64 = 15.0;

/// A geographic or projected coordinate reference system.
///
/// Axes are always longitude, latitude in degrees, or easting, northing in the system's own unit,
/// whatever order its definition gives.
#[derive(Clone, Debug)]
pub struct Crs {
    name: String,
    geographic: bool,
    /// None for WGS84 itself. Shared, and made along with the rest, since whenever PROJ's objects go
    /// it closes its database, which then takes ten milliseconds to open again.
    shift: Option<Rc<Shift>>,
}

/// The way to WGS84.
#[derive(Debug)]
struct Shift {
    proj: Proj,
    /// Where the system is used, degrees.
    used: Option<Area>,
}

impl Crs {
    /// WGS84 longitude and latitude, as GeoJSON and GPS receivers give.
    #[must_use]
    pub fn wgs84() -> Self {
        Crs { name: "WGS 84".to_owned(), geographic: true, shift: None }
    }

    /// A coordinate system by its name, such as `"EPSG:2965"`.
    ///
    /// # Errors
    /// When PROJ's database does not hold it, or it is neither geographic nor projected.
    pub fn named(name: &str) -> Result<Self, CrsError> {
        let name = name.trim();
        let upper = name.to_ascii_uppercase();
        if matches!(upper.as_str(), WGS84 | "WGS84" | "OGC:CRS84") {
            return Ok(Crs::wgs84());
        }
        Crs::read(if upper.starts_with("EPSG:") { &upper } else { name })
    }

    /// The coordinate system that the text of a `.prj` file describes.
    ///
    /// # Errors
    /// When PROJ cannot read the text, or it is neither geographic nor projected.
    pub fn from_prj(text: &str) -> Result<Self, CrsError> {
        Crs::read(text.trim_matches(|c: char| c == '\u{feff}' || c == '\0' || c.is_whitespace()))
    }

    fn read(definition: &str) -> Result<Self, CrsError> {
        let shown = || definition.lines().next().unwrap_or("").chars().take(60).collect::<String>();
        let unknown = || CrsError::Unknown { definition: shown() };
        if definition.is_empty() || definition.contains('\0') {
            return Err(unknown());
        }
        // The JSON form says what PROJ took the text for, before anything is converted with it.
        let system = quietly(|| Proj::new(definition)).map_err(|_| unknown())?;
        let json = quietly(|| system.to_projjson(None, None, None)).map_err(|_| unknown())?;
        let json: serde_json::Value = serde_json::from_str(&json).map_err(|_| unknown())?;
        let text = |value: &serde_json::Value, key: &str| {
            value.get(key).and_then(serde_json::Value::as_str).map(str::to_owned)
        };
        let source =
            json.get("source_crs").filter(|_| text(&json, "type").as_deref() == Some("BoundCRS"));
        let described = source.unwrap_or(&json);
        let kind = text(described, "type").unwrap_or_default();
        let geographic = match kind.as_str() {
            "GeographicCRS" => true,
            "ProjectedCRS" => false,
            _ => return Err(CrsError::WrongKind { definition: shown(), kind }),
        };
        let name = match text(described, "name") {
            Some(name) if definition.starts_with("EPSG:") => format!("{name} ({definition})"),
            Some(name) => name,
            None => shown(),
        };
        let Ok(proj) = quietly(|| Proj::new_known_crs(definition, WGS84, None)) else {
            return Err(CrsError::Unknown { definition: name });
        };
        let used = system.area_of_use().ok().and_then(|(area, _)| area);
        Ok(Crs { name, geographic, shift: Some(Rc::new(Shift { proj, used })) })
    }

    /// What people call it.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Whether its coordinates are longitude and latitude.
    #[must_use]
    pub fn is_geographic(&self) -> bool {
        self.geographic
    }

    /// Converts coordinates to WGS84 longitude and latitude in degrees, in place.
    ///
    /// WGS84 itself is left as it is, bit for bit. Gives the accuracy of the datum shift in metres
    /// where PROJ knows it: NAD83 is taken as WGS84 and is good to about 4 m.
    ///
    /// # Errors
    /// When a coordinate has no counterpart, or lies far outside the area of use.
    pub fn to_wgs84(&self, coords: &mut [Coord<f64>]) -> Result<Option<f64>, CrsError> {
        let Some(shift) = &self.shift else {
            return match coords.iter().find(|c| !c.x.is_finite() || !c.y.is_finite()) {
                Some(&c) => Err(self.outside(c)),
                None => Ok(Some(0.0)),
            };
        };
        for coord in coords.iter_mut() {
            *coord = self.converted(shift, *coord)?;
        }
        let accuracy = shift.proj.proj_info().accuracy;
        Ok((accuracy >= 0.0).then_some(accuracy))
    }

    fn converted(&self, shift: &Shift, given: Coord<f64>) -> Result<Coord<f64>, CrsError> {
        let converted: Coord<f64> = shift.proj.convert(given).map_err(|_| self.outside(given))?;
        let numbers = [given.x, given.y, converted.x, converted.y];
        if numbers.iter().any(|number| !number.is_finite()) {
            return Err(self.outside(given));
        }
        if shift.used.as_ref().is_some_and(|area| is_far_outside(area, converted)) {
            return Err(CrsError::FarOutside {
                crs: self.name.clone(),
                first: given.x,
                second: given.y,
                longitude: converted.x,
                latitude: converted.y,
            });
        }
        Ok(converted)
    }

    fn outside(&self, coord: Coord<f64>) -> CrsError {
        CrsError::Outside { crs: self.name.clone(), first: coord.x, second: coord.y }
    }
}

fn is_far_outside(area: &Area, coord: Coord<f64>) -> bool {
    let latitude = area.south - SLACK_DEGREES..=area.north + SLACK_DEGREES;
    // An area of use across the antimeridian has west > east: it is left unchecked.
    let longitude = area.west - SLACK_DEGREES..=area.east + SLACK_DEGREES;
    area.west <= area.east && !(latitude.contains(&coord.y) && longitude.contains(&coord.x))
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
    fn state_plane_feet() {
        let crs = Crs::named("EPSG:2965").unwrap();
        assert_eq!(crs.name(), "NAD83 / Indiana East (ftUS) (EPSG:2965)");
        assert!(!crs.is_geographic());
        // The zone's origin: 37°30' N, 85°40' W at 328083.333 ft E, 820208.333 ft N.
        let mut coords = [Coord { x: 328_083.333, y: 820_208.333 }];
        let accuracy = crs.to_wgs84(&mut coords).unwrap();
        assert!((coords[0].x + 85.0 + 40.0 / 60.0).abs() < 1e-9, "{coords:?}");
        assert!((coords[0].y - 37.5).abs() < 1e-9, "{coords:?}");
        assert!(accuracy.is_some_and(|metres| metres > 0.0 && metres < 10.0), "{accuracy:?}");
    }

    #[test]
    fn what_is_no_map_system_is_refused() {
        let said = |name: &str| Crs::named(name).unwrap_err().to_string();
        assert_eq!(
            said("EPSG:99999"),
            "\"EPSG:99999\": found no coordinate system of that name, expected one such as \"EPSG:4326\" or \"EPSG:2965\"; check the code"
        );
        assert_eq!(
            said("EPSG:5703"),
            "\"EPSG:5703\": found a VerticalCRS coordinate system, expected a geographic or projected one"
        );
        assert_eq!(
            said("+proj=pipeline +step +proj=merc"),
            "\"+proj=pipeline +step +proj=merc\": found a Conversion coordinate system, expected a geographic or projected one"
        );
        for text in ["", "\0", "LOCAL_CS[\"site\",UNIT[\"metre\",1]]", "EPSG:4978", "nonsense"] {
            assert!(Crs::named(text).is_err(), "{text}");
            assert!(Crs::from_prj(text).is_err(), "{text}");
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
}
