use geo::Coord;

use super::columns::{bracketed_unit, named};
use super::layer::{Layer, RowShape};
use super::number::number;
use super::position::positions;
use super::reference::Declared;
use super::table::{Row, Table};
use super::zones::polygons;
use super::{Coordinates, Read, ReadError, SampleSettings, Source, formats, reference};
use crate::reconcile::{Applied, Dose, RowPlace};
use crate::units::{Mass, Quantity, Rate, Unit};
use crate::warning::Warning;

/// What a record of the application logs.
#[derive(Clone, Debug, PartialEq)]
pub enum LoggedQuantity {
    /// A rate, in the column of that name.
    Rate(String),
    /// The mass of each row, in the column of that name.
    Mass(String),
}

/// How a record of the application is to be understood.
#[derive(Clone, Debug, PartialEq)]
pub struct AppliedSettings {
    /// What is logged.
    pub logged: LoggedQuantity,
    /// The unit, for a header that does not name one in brackets.
    pub unit: Option<String>,
    /// The column with the distance that each row stands for, in any unit; all rows stand for as
    /// much if `None`.
    pub distance: Option<String>,
    /// The coordinate system, such as `EPSG:2965`; what the file itself says if `None`.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file; the only one if `None`.
    pub layer: Option<String>,
}

/// A record of the application as read.
#[derive(Clone, Debug, PartialEq)]
pub struct ApplicationRecord {
    /// Its rows.
    pub rows: Vec<Applied>,
    /// What is logged, as its header has it.
    pub column: String,
    /// The unit that it was read in.
    pub unit: &'static str,
}

impl ApplicationRecord {
    /// The other units of the same kind, each with what it would make of a mass that this one makes
    /// 1 of.
    #[must_use]
    pub fn other_units(&self) -> Vec<(&'static str, f64)> {
        let units = [Rate::UNITS, Mass::UNITS].into_iter().find_map(|units| {
            let own = units.iter().find(|unit| unit.symbol() == self.unit)?;
            Some((units, own.si))
        });
        let (units, own) = units.unwrap_or((&[], 1.0));
        let others = units.iter().filter(|unit| unit.symbol() != self.unit);
        others.map(|unit| (unit.symbol(), unit.si / own)).collect()
    }
}

/// Reads a record of the application: points or polygons with a rate or a mass. Rows without
/// either, or without a place, are left out, and the warnings say how many.
///
/// # Errors
/// When the file cannot be read, a column is absent, its unit is not known, a cell is not a number
/// or below zero, or the coordinate system is not known.
pub fn applied(
    source: &Source,
    settings: &AppliedSettings,
) -> Result<Read<ApplicationRecord>, ReadError> {
    let Layer { table, shapes } = formats::layer(source, settings.layer.as_deref())?;
    let mut warnings = table.warnings.clone();
    let unit = settings.unit.as_deref();
    let (column, unit) = match &settings.logged {
        LoggedQuantity::Rate(name) => {
            let column = named(&table, "rate", "--rate", name)?;
            (column, unit_of::<Rate>(&table, column, unit)?)
        }
        LoggedQuantity::Mass(name) => {
            let column = named(&table, "mass", "--mass", name)?;
            (column, unit_of::<Mass>(&table, column, unit)?)
        }
    };
    let distance = settings.distance.as_deref();
    let distance =
        distance.map(|name| named(&table, "distance", "--distance", name)).transpose()?;
    let (places, coordinates) = places(&table, shapes, settings, &mut warnings)?;
    let (mut rows, mut left_out) = (Vec::new(), 0);
    for (row, place) in table.rows.iter().zip(places) {
        let logged = not_negative(&table, row, column)?;
        let weight = match distance {
            Some(column) => not_negative(&table, row, column)?,
            None => Some(1.0),
        };
        let (Some(place), Some(logged), Some(weight)) = (place, logged, weight) else {
            left_out += 1;
            continue;
        };
        let dose = match &settings.logged {
            LoggedQuantity::Rate(_) => Dose::Rate(Rate::from_si(logged * unit.si)),
            LoggedQuantity::Mass(_) => Dose::Mass(Mass::from_si(logged * unit.si)),
        };
        rows.push(Applied { place, dose, weight });
    }
    if left_out > 0 {
        let name = &table.name;
        warnings.push(Warning::RowsIncomplete { file: name.clone(), rows: left_out });
    }
    let column = table.header(column).to_owned();
    let value = ApplicationRecord { rows, column, unit: unit.symbol() };
    Ok(Read { value, coordinates, warnings })
}

/// The place of every row in WGS84.
fn places(
    table: &Table,
    shapes: Option<(Vec<Option<RowShape>>, Option<Declared>)>,
    settings: &AppliedSettings,
    warnings: &mut Vec<Warning>,
) -> Result<(Vec<Option<RowPlace>>, Coordinates), ReadError> {
    let Some((mut shapes, declared)) = shapes else {
        let settings = SampleSettings { crs: settings.crs.clone(), ..SampleSettings::default() };
        let (positions, coordinates) = positions(table, &settings, warnings)?;
        return Ok((
            positions.into_iter().map(|at| at.map(RowPlace::Point)).collect(),
            coordinates,
        ));
    };
    let setting = reference::setting(&table.name, settings.crs.as_deref())?;
    let all = shapes.iter().flatten().flat_map(RowShape::coords);
    let mut coords: Vec<Coord<f64>> = all.copied().collect();
    let coordinates = reference::to_wgs84(
        &table.name,
        declared.as_ref(),
        setting.as_ref(),
        &mut coords,
        warnings,
    )?;
    let all = shapes.iter_mut().flatten().flat_map(RowShape::coords_mut);
    all.zip(coords).for_each(|(place, coord)| *place = coord);
    let place = |shape| match shape {
        RowShape::Point(at) => RowPlace::Point(at),
        RowShape::Area(parts) => RowPlace::Area(polygons(parts)),
    };
    Ok((shapes.into_iter().map(|shape| shape.map(place)).collect(), coordinates))
}

fn not_negative(table: &Table, row: &Row, column: usize) -> Result<Option<f64>, ReadError> {
    match number(table, row, column)? {
        Some(value) if value < 0.0 => Err(ReadError::BadCell {
            place: row.place.clone(),
            column: table.header(column).to_owned(),
            value: row.cell(column).to_owned(),
            expected: "a number that is not below 0",
        }),
        value => Ok(value),
    }
}

/// A column's unit: that in its header's brackets, else that given.
fn unit_of<Q: Quantity>(
    table: &Table,
    column: usize,
    given: Option<&str>,
) -> Result<&'static Unit, ReadError> {
    let header = table.header(column);
    let bracketed = bracketed_unit(header);
    let unit = bracketed.or(given).unwrap_or("");
    let known: Vec<&str> = Q::UNITS.iter().map(Unit::symbol).collect();
    let spelled = |unit: &str| Q::UNITS.iter().find(|known| known.is_spelled(unit));
    if let (Some(bracketed), Some(given)) = (bracketed, given)
        && spelled(bracketed).map(Unit::symbol) != spelled(given).map(Unit::symbol)
    {
        return Err(ReadError::Unexpected {
            place: format!("{}, column \"{header}\"", table.name),
            found: format!("the unit \"{bracketed}\" in the header and --unit \"{given}\""),
            expected: "one unit; leave --unit out, or mend the header".to_owned(),
        });
    }
    spelled(unit).ok_or_else(|| ReadError::BadUnit {
        name: table.name.clone(),
        column: header.to_owned(),
        unit: unit.to_owned(),
        expected: format!("{} in the header's brackets or as --unit", known.join(", ")),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(
        text: &str,
        logged: LoggedQuantity,
        unit: Option<&str>,
    ) -> Result<Read<ApplicationRecord>, ReadError> {
        let unit = unit.map(str::to_owned);
        let settings = AppliedSettings { logged, unit, distance: None, crs: None, layer: None };
        applied(&Source::of("log.csv", text), &settings)
    }

    #[test]
    fn points_with_a_rate_or_a_mass() {
        let text = "longitude,latitude,rate (lb/ac),kg\n-85,40,2000,3\n-85,40.1,,4\n";
        let rates = read(text, LoggedQuantity::Rate("rate (lb/ac)".into()), None).unwrap();
        assert_eq!(rates.value.rows.len(), 1);
        assert_eq!(
            rates.warnings,
            [Warning::RowsIncomplete { file: "log.csv".to_owned(), rows: 1 }]
        );
        let Dose::Rate(rate) = rates.value.rows[0].dose else { panic!("a rate") };
        assert!((rate.as_tons_per_acre() - 1.0).abs() < 1e-12);
        let masses = read(text, LoggedQuantity::Mass("KG".into()), Some("kg")).unwrap();
        assert_eq!(masses.value.rows[1].dose, Dose::Mass(Mass::kilograms(4.0)));
    }

    #[test]
    fn faults_are_named() {
        let text = "longitude,latitude,rate\n-85,40,-2\n";
        let said = |name: &str, unit| {
            read(text, LoggedQuantity::Rate(name.into()), unit).unwrap_err().to_string()
        };
        assert_eq!(
            said("rat", None),
            "log.csv: found no rate column, expected \"rat\" as the setting says; the columns are \"longitude\", \"latitude\", \"rate\""
        );
        assert_eq!(
            said("rate", Some("ton")),
            "log.csv, column \"rate\": found unit \"ton\", expected ton/ac, lb/ac, t/ha, kg/ha in the header's brackets or as --unit"
        );
        assert_eq!(
            said("rate", Some("t/ha")),
            "log.csv, row 2, column \"rate\": found \"-2\", expected a number that is not below 0"
        );
    }
}
