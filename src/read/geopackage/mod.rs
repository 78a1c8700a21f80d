//! GeoPackage (OGC 12-128): a layer of features of an SQLite database.

mod database;
mod geometry;
mod layer;

use super::budget::Budget;
use super::format::{Format, Purpose, WantedContent};
use super::records::{Record, Records};
use super::reference::Declared;
use super::zone_file::ZoneFile;
use super::{ReadError, Source};
use crate::projection::Crs;
use database::Database;
use layer::Layer;

/// GeoPackages.
pub(super) const FORMAT: Format = Format {
    called: "a GeoPackage",
    extensions: &["gpkg"],
    records: Some(records),
    table: None,
    zone_file: Some(zone_file),
};

/// The layer of zones in the packages that this program writes.
const ZONES: &str = "zones";

fn zone_file(source: &Source, wanted: &WantedContent) -> Result<ZoneFile, ReadError> {
    Ok(records(source, wanted, &mut source.budget())?.zone_file(FORMAT.called, None))
}

fn records(
    source: &Source,
    wanted: &WantedContent,
    budget: &mut Budget,
) -> Result<Records, ReadError> {
    let database = Database::open(source, budget)?;
    let layers = layer::all(&database)?;
    let ours = layers.iter().find(|layer| layer.table == ZONES && wanted.layer.is_none());
    let layer = match ours.filter(|_| wanted.purpose == Purpose::Zones) {
        Some(zones) => zones,
        None => layer::chosen(source, &layers, wanted.layer)?,
    };
    let declared = declared(&database, layer)?;
    let (columns, shape) = layer.columns(&database)?;
    let name = format!("{}, {}", source.name, layer.table);
    let mut records = Vec::new();
    let sql = format!("SELECT * FROM {}", database::quoted(&layer.table));
    database.rows(&sql, &[], |row| {
        let place = format!("{name}, row {}", records.len() + 1);
        let mut record = Record { place, ..Record::default() };
        if let Some(bytes) = row.blob(shape) {
            (record.kind, record.pieces) = geometry::read(&record.place, bytes, budget)?;
        }
        record.cells = columns.iter().map(|(column, _)| row.cell(*column)).collect();
        budget.take(&source.name, record.size())?;
        records.push(record);
        Ok(())
    })?;
    let columns = columns.into_iter().map(|(_, name)| name).collect();
    Ok(Records { columns, all: records, declared, warnings: Vec::new() })
}

/// The layer's coordinate system: by its code where it is EPSG's, else as the package defines it.
/// -1 and 0 are what a package has for systems that nobody knows.
fn declared(database: &Database, layer: &Layer) -> Result<Option<Declared>, ReadError> {
    if matches!(layer.srs, -1 | 0) {
        return Ok(None);
    }
    let sql = "SELECT organization, organization_coordsys_id, definition \
               FROM gpkg_spatial_ref_sys WHERE srs_id = ?1";
    let mut found = None;
    database.rows(sql, &[layer.srs], |row| {
        found = Some((row.text(0), row.integer(1), row.text(2)));
        Ok(())
    })?;
    let place = format!("{}, {}, coordinate system {}", database.name(), layer.table, layer.srs);
    let Some((organization, code, definition)) = found else {
        return Err(ReadError::Unexpected {
            place,
            found: "no definition of it".to_owned(),
            expected: "one in gpkg_spatial_ref_sys".to_owned(),
        });
    };
    let crs = match code {
        Some(code) if organization.eq_ignore_ascii_case("EPSG") => {
            Crs::named(&format!("EPSG:{code}"))
        }
        _ => Crs::from_prj(&definition),
    };
    let crs = crs.map_err(|error| ReadError::Crs { place, error })?;
    Ok(Some(Declared { crs, by: Some(format!("its layer {}", layer.table)) }))
}

#[cfg(test)]
pub(super) mod tests;
