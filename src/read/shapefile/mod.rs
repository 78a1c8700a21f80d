//! Shapefiles: the shapes, the attribute table beside them, and the `.prj` that says what the
//! coordinates are.

mod dbf;
mod shp;
mod zone_file;

pub(super) use zone_file::zone_file;

use super::budget::Budget;
use super::format::{Format, WantedContent};
use super::records::{Record, Records};
use super::reference::Declared;
use super::zone_file::Cell;
use super::{ReadError, Source, text};
use crate::projection::Crs;
use crate::warning::Warning;

/// Shapefiles.
pub(super) const FORMAT: Format = Format {
    called: "a shapefile",
    extensions: &["shp"],
    records: Some(records),
    table: None,
    zone_file: Some(zone_file),
};

/// Every shape with its row of the table. A file without a table, which may be left out of what is
/// sent, has shapes without attributes.
pub(super) fn records(
    source: &Source,
    wanted: &WantedContent,
    budget: &mut Budget,
) -> Result<Records, ReadError> {
    let declared = declared(source)?;
    let shapes = shp::records(source, budget)?;
    let mut found = Records { declared, ..Records::default() };
    let Some(bytes) = source.sidecars.get("dbf") else {
        if wanted.purpose.needs_attributes() {
            return Err(ReadError::Unexpected {
                place: source.name.clone(),
                found: "no .dbf file beside it".to_owned(),
                expected: "the table of its attributes".to_owned(),
            });
        }
        found.all = shapes;
        return Ok(found);
    };
    let name = source.sibling("dbf");
    let encoding = source.sidecars.get("cpg").map(|cpg| text::decode(cpg).into_owned());
    budget.take(&name, dbf::memory(bytes))?;
    let read = dbf::read(&name, bytes, encoding.as_deref())?;
    if read.records.len() != shapes.len() {
        return Err(ReadError::Unexpected {
            place: name,
            found: format!("{} rows", read.records.len()),
            expected: format!("{}, one for each shape of {}", shapes.len(), source.name),
        });
    }
    for (record, shape) in read.records.into_iter().zip(shapes) {
        match record {
            None => found.warnings.push(Warning::RowDeleted { place: shape.place }),
            Some(cells) => {
                let cells = cells.into_iter().map(Cell::Text).collect();
                found.all.push(Record { cells, ..shape });
            }
        }
    }
    found.columns = read.columns;
    Ok(found)
}

fn declared(source: &Source) -> Result<Option<Declared>, ReadError> {
    let Some(prj) = source.sidecars.get("prj") else { return Ok(None) };
    let by = source.sibling("prj");
    match Crs::from_prj(&text::decode(prj)) {
        Ok(crs) => Ok(Some(Declared { crs, by: Some(by) })),
        Err(error) => Err(ReadError::Crs { place: by, error }),
    }
}

#[cfg(test)]
pub(super) mod tests;
