use geo::{Coord, Distance, Geodesic, Point};

use super::{Coordinates, ReadError};
use crate::projection::Crs;
use crate::units::Length;
use crate::warning::{SystemsApart, Warning};

/// Two systems that put a point farther apart than this do not say the same: more than any datum
/// that is taken as another (NAD83 as WGS84: 1 to 2 m), less than survey against international feet.
const CONTRADICTION_M: f64 = 3.0;

/// The coordinate system that a file itself says it is in.
#[derive(Clone, Debug)]
pub(super) struct Declared {
    /// The system.
    pub crs: Crs,
    /// Where the file says so; `None` if it goes without saying.
    pub by: Option<String>,
}

impl Declared {
    /// What GeoJSON is in without saying so (RFC 7946).
    pub fn rfc7946() -> Self {
        Declared { crs: Crs::wgs84(), by: None }
    }
}

/// The system that a setting names.
pub(super) fn setting(name: &str, crs: Option<&str>) -> Result<Option<Crs>, ReadError> {
    let place = || format!("{name}, crs setting");
    crs.map(Crs::named).transpose().map_err(|error| ReadError::Crs { place: place(), error })
}

/// Converts coordinates to WGS84 from the system that the setting names or, without one, that the
/// file declares. A setting that contradicts the file wins, with a warning.
pub(super) fn to_wgs84(
    name: &str,
    declared: Option<&Declared>,
    setting: Option<&Crs>,
    coords: &mut [Coord<f64>],
    warnings: &mut Vec<Warning>,
) -> Result<Coordinates, ReadError> {
    let crs = match (setting, declared) {
        (Some(setting), Some(Declared { crs, by: Some(by) })) => {
            if let Some(apart) = apart(setting, crs, coords.first().copied()) {
                warnings.push(Warning::CrsContradiction {
                    file: name.to_owned(),
                    setting: setting.name().to_owned(),
                    by: by.clone(),
                    declared: crs.name().to_owned(),
                    apart,
                });
            }
            setting
        }
        (Some(setting), _) => setting,
        (None, Some(declared)) => &declared.crs,
        (None, None) => {
            let is_package = name.to_lowercase().ends_with(".gpkg");
            let name = name.to_owned();
            return Err(if is_package {
                ReadError::NoCrsOfLayer { name }
            } else {
                ReadError::NoCrs { name }
            });
        }
    };
    let accuracy =
        crs.to_wgs84(coords).map_err(|error| ReadError::Crs { place: name.to_owned(), error })?;
    Ok(Coordinates { crs: crs.name().to_owned(), accuracy })
}

/// How far apart two systems put a point, if it is far enough to matter.
fn apart(one: &Crs, other: &Crs, at: Option<Coord<f64>>) -> Option<SystemsApart> {
    let put = |crs: &Crs| {
        let mut coords = [at?];
        crs.to_wgs84(&mut coords).ok()?;
        Some(Point(coords[0]))
    };
    match (put(one), put(other)) {
        (Some(a), Some(b)) => {
            let metres = Geodesic.distance(a, b);
            (metres > CONTRADICTION_M).then(|| SystemsApart::By(Length::metres(metres)))
        }
        (None, None) => None,
        _ => Some(SystemsApart::Meaningless),
    }
}
