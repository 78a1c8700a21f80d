//! Whose the samples of several fields are.

use geo::Coord;

use super::columns::{self, FIELD};
use super::position::positions;
use super::samples::{points, results};
use super::table::Table;
use super::{LaboratorySettings, ReadError, SampleSettings, Source};

/// The samples of several fields, as far as it takes to tell whose they are.
#[derive(Clone, Debug, Default)]
pub struct FarmSamples {
    /// Where each row is, for messages.
    pub places: Vec<String>,
    /// The column that says the field, and what it says for each row; none without such a column.
    pub fields: Option<(String, Vec<String>)>,
    /// Where each sample lies, WGS84; none in a table of results alone.
    pub at: Vec<Option<Coord<f64>>>,
}

/// Reads whose the samples of a file are, and where they lie.
///
/// # Errors
/// When the file cannot be read, or its samples have no positions.
pub fn samples_of_fields(
    source: &Source,
    settings: &SampleSettings,
    with_laboratory: bool,
) -> Result<FarmSamples, ReadError> {
    let table = points(source, settings, with_laboratory)?;
    let (at, _) = positions(&table, settings, &mut Vec::new())?;
    Ok(FarmSamples { at, ..of_fields(&table, settings.field_column.as_deref())? })
}

/// Reads whose the results of a laboratory's table are.
///
/// # Errors
/// When the file cannot be read.
pub fn results_of_fields(
    source: &Source,
    settings: &LaboratorySettings,
) -> Result<FarmSamples, ReadError> {
    let table = results(source, settings)?;
    of_fields(&table, settings.field_column.as_deref())
}

fn of_fields(table: &Table, column: Option<&str>) -> Result<FarmSamples, ReadError> {
    // Without a setting several such columns are no reason to stop: samples lie where they lie.
    let column = match columns::find(table, &FIELD, column) {
        Err(_) if column.is_none() => None,
        found => found?,
    };
    let texts = |column| table.rows.iter().map(|row| row.cell(column).to_owned()).collect();
    Ok(FarmSamples {
        places: table.rows.iter().map(|row| row.place.clone()).collect(),
        fields: column.map(|column| (table.header(column).to_owned(), texts(column))),
        at: Vec::new(),
    })
}
