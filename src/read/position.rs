use geo::Coord;

use super::columns::{self, EASTING, LATITUDE, LONGITUDE, NORTHING};
use super::degrees::{Axis, degrees};
use super::error::quoted;
use super::number::number;
use super::reference::{self, Declared};
use super::table::Table;
use super::{Coordinates, ReadError, SampleSettings};
use crate::faults::Faults;
use crate::projection::Crs;
use crate::warning::Warning;

/// A position for every row; `None` where the row has none.
pub(super) type Positions = Vec<Option<Coord<f64>>>;

/// The WGS84 position of every row, `None` where the row has none, and the system they were in.
pub(super) fn positions(
    table: &Table,
    settings: &SampleSettings,
    warnings: &mut Vec<Warning>,
) -> Result<(Positions, Coordinates), ReadError> {
    let setting = reference::setting(&table.name, settings.crs.as_deref())?;
    let (mut positions, declared) = match &table.points {
        Some(points) => (points.coords.clone(), points.declared.clone()),
        None => from_columns(table, settings, setting.as_ref())?,
    };
    let mut coords: Vec<Coord<f64>> = positions.iter().flatten().copied().collect();
    let coordinates = reference::to_wgs84(
        &table.name,
        declared.as_ref(),
        setting.as_ref(),
        &mut coords,
        warnings,
    )?;
    positions.iter_mut().flatten().zip(coords).for_each(|(place, coord)| *place = coord);
    Ok((positions, coordinates))
}

fn from_columns(
    table: &Table,
    settings: &SampleSettings,
    setting: Option<&Crs>,
) -> Result<(Positions, Option<Declared>), ReadError> {
    let named_degrees = pair(
        table,
        columns::find(table, &LONGITUDE, settings.longitude.as_deref())?,
        columns::find(table, &LATITUDE, settings.latitude.as_deref())?,
    )?;
    let metres = |table| {
        pair(
            table,
            columns::find(table, &EASTING, settings.easting.as_deref())?,
            columns::find(table, &NORTHING, settings.northing.as_deref())?,
        )
    };
    let projected = setting.is_some_and(|crs| !crs.is_geographic());
    let asked_for_metres = settings.easting.is_some() || settings.northing.is_some();
    let named = |(a, b): (usize, usize)| quoted([table.header(a), table.header(b)]);
    let ((first, second), declared) = match named_degrees {
        Some(columns) if !asked_for_metres && !projected => {
            // Longitude and latitude with no word on the datum are what GPS receivers give.
            (columns, Some(Declared::rfc7946()))
        }
        _ => match metres(table)? {
            Some(metres) if setting.is_none() => {
                let (name, columns) = (table.name.clone(), named(metres));
                return Err(ReadError::NoCrsForColumns { name, columns, fitting: String::new() });
            }
            Some(metres) => (metres, None),
            None => return Err(no_position(table, named_degrees.map(named), setting)),
        },
    };
    let in_degrees = declared.is_some();
    let read = |row, column, axis| {
        if in_degrees { degrees(table, row, column, axis) } else { number(table, row, column) }
    };
    let position = |row| -> Result<Option<Coord<f64>>, ReadError> {
        let (x, y) = (read(row, first, Axis::Longitude)?, read(row, second, Axis::Latitude)?);
        Ok(x.zip(y).map(|(x, y)| Coord { x, y }))
    };
    let mut faults = Faults::default();
    let positions = table.rows.iter().map(|row| faults.of(position(row)).flatten()).collect();
    faults.all().map(|()| (positions, declared))
}

/// Both columns or none; one alone is an error.
fn pair(
    table: &Table,
    first: Option<usize>,
    second: Option<usize>,
) -> Result<Option<(usize, usize)>, ReadError> {
    match (first, second) {
        (Some(first), Some(second)) => Ok(Some((first, second))),
        (None, None) => Ok(None),
        (Some(one), None) | (None, Some(one)) => {
            let hint = format!("; \"{}\" is only one of the two coordinates", table.header(one));
            Err(columns::absent(table, "position", "two of them".to_owned(), hint))
        }
    }
}

fn no_position(table: &Table, degrees: Option<String>, setting: Option<&Crs>) -> ReadError {
    let expected = "longitude and latitude, or easting and northing with a crs setting".to_owned();
    let hint = match (degrees, setting) {
        (Some(degrees), Some(crs)) => {
            format!("; {degrees} are in degrees, and the crs setting {} is not", crs.name())
        }
        _ => String::new(),
    };
    columns::absent(table, "position", expected, hint)
}
