//! Which coordinate systems would put positions without one into the field.

use std::fmt::Write as _;

use geo::{BoundingRect, Contains, Coord, Point};

use super::columns::{self, EASTING, NORTHING};
use super::number::number;
use super::table::Table;
use super::{ReadError, SampleSettings, Source, samples};
use crate::field::Boundary;
use crate::projection::Crs;

/// The State Plane zones of NAD83, in meters and in feet: EPSG code, then west, south, east and north
/// of where each is used, degrees (EPSG v11.022, by way of PROJ 9.5.1).
const STATE_PLANE: &str = include_str!("state_plane.csv");

/// How far a field may lie outside a zone that is tried, in degrees: some surveys keep to the
/// neighboring one.
const SLACK: f64 = 0.5;

/// Positions that are enough to try a system with.
const ENOUGH: usize = 100;

/// An error as it is, or with the systems that would put positions into the field, where it is that
/// no system is known.
#[must_use]
pub fn explained(
    error: ReadError,
    source: &Source,
    settings: &SampleSettings,
    boundary: &Boundary,
) -> ReadError {
    let ReadError::NoCrsForColumns { name, columns, .. } = error else { return error };
    let places = samples::points(source, settings, true).ok();
    let places = places.map_or_else(Vec::new, |table| places_of(&table, settings));
    let mut fitting = String::new();
    for crs in tried(boundary) {
        let swapped: Vec<Coord<f64>> = places.iter().map(|at| Coord { x: at.y, y: at.x }).collect();
        let how = match (fits(&crs.1, &places, boundary), fits(&crs.1, &swapped, boundary)) {
            (true, _) => "",
            (false, true) => ", with easting and northing the other way around",
            (false, false) => continue,
        };
        let before = if fitting.is_empty() { "; they would lie in the field in " } else { ", in " };
        // Writing to a string cannot fail.
        let _ = write!(fitting, "{before}{} (crs = \"{}\"){how}", crs.1.name(), crs.0);
    }
    ReadError::NoCrsForColumns { name, columns, fitting }
}

fn places_of(table: &Table, settings: &SampleSettings) -> Vec<Coord<f64>> {
    let easting = columns::find(table, &EASTING, settings.easting.as_deref());
    let northing = columns::find(table, &NORTHING, settings.northing.as_deref());
    let (Ok(Some(easting)), Ok(Some(northing))) = (easting, northing) else { return Vec::new() };
    let read = |row, column| number(table, row, column).ok().flatten();
    let place = |row| Some(Coord { x: read(row, easting)?, y: read(row, northing)? });
    table.rows.iter().filter_map(place).take(ENOUGH).collect()
}

/// The systems of the field's place, with the names that a setting has for them.
fn tried(boundary: &Boundary) -> Vec<(String, Crs)> {
    let at = boundary.frame().centre();
    let zone = ((at.x + 180.0) / 6.0).floor();
    let north = if at.y < 0.0 { 700.0 } else { 600.0 };
    let utm = [0.0, -1.0, 1.0].map(|other| (zone + other).rem_euclid(60.0) + 1.0);
    let utm = utm.into_iter().map(|zone| format!("EPSG:{}", 32_000.0 + north + zone));
    let zones = STATE_PLANE.lines().filter_map(|line| {
        let (code, area) = line.split_once(',')?;
        let area: Vec<f64> = area.split(',').filter_map(|side| side.parse().ok()).collect();
        let [west, south, east, north] = area.try_into().ok()?;
        let here = (west - SLACK..=east + SLACK).contains(&at.x)
            && (south - SLACK..=north + SLACK).contains(&at.y);
        here.then(|| format!("EPSG:{code}"))
    });
    utm.chain(zones).filter_map(|name| Crs::named(&name).ok().map(|crs| (name, crs))).collect()
}

/// Whether a system puts most positions into the field.
fn fits(crs: &Crs, places: &[Coord<f64>], boundary: &Boundary) -> bool {
    let Some(around) = boundary.wgs84().bounding_rect() else { return false };
    let inside = places.iter().filter(|&&place| {
        let mut at = [place];
        crs.to_wgs84(&mut at).is_ok()
            && around.contains(&Point(at[0]))
            && boundary.wgs84().contains(&Point(at[0]))
    });
    inside.count() * 2 > places.len()
}

#[cfg(test)]
#[cfg(feature = "proj")]
mod tests {
    use geo::{MultiPolygon, polygon};

    use super::*;
    use crate::read::CationSettings;

    /// Around the origin of Indiana East: 37°30' N, 85°40' W at 328,083.333 ft E, 820,208.333 ft N
    /// (NOAA Manual NOS NGS 5), which is 100,000 m E, 250,000 m N.
    fn boundary() -> Boundary {
        let (x, y) = (-85.0 - 40.0 / 60.0, 37.5);
        let square = polygon![(x: x - 0.01, y: y - 0.01), (x: x + 0.01, y: y - 0.01), (x: x + 0.01, y: y + 0.01), (x: x - 0.01, y: y + 0.01)];
        Boundary::new(MultiPolygon(vec![square]), "field.geojson").unwrap()
    }

    fn said(table: &str) -> String {
        let (source, settings) = (Source::of("s.csv", table), SampleSettings::default());
        let error = samples::samples(&source, None, &settings, &CationSettings::default());
        explained(error.unwrap_err(), &source, &settings, &boundary()).to_string()
    }

    #[test]
    fn state_plane_in_feet_and_meters() {
        let none = "s.csv: found columns \"x\", \"y\" and no crs setting; say which coordinate system they are in, such as crs = \"EPSG:2965\"";
        assert_eq!(
            said("id,x,y,CEC\n1,328083,820208,8\n2,328100,820300,9\n"),
            format!(
                "{none}; they would lie in the field in NAD83 / Indiana East (ftUS) (EPSG:2965) (crs = \"EPSG:2965\")"
            )
        );
        assert_eq!(
            said("id,x,y,CEC\n1,250000,100000,8\n2,250010,100010,9\n"),
            format!(
                "{none}; they would lie in the field in NAD83 / Indiana East (EPSG:26973) (crs = \"EPSG:26973\"), with easting and northing the other way around"
            )
        );
        assert_eq!(said("id,x,y,CEC\n1,5,7,8\n"), none);
    }
}
