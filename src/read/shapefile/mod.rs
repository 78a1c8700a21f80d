//! Shapefiles: the shapes, the attribute table beside them, and the `.prj` that says what the
//! coordinates are.

mod dbf;
mod nest;
mod shp;
mod zone_file;

use super::format::{Format, Tabular};
use super::layer::Layer;
use super::outlines::{Features, Outlines};
use super::reference::Declared;
use super::table::{Points, Row, Table};
use super::{ReadError, Source, text};
use crate::projection::Crs;
use crate::warning::Warning;

/// Shapefiles of polygons or points.
pub(super) const FORMAT: Format = Format {
    called: "a shapefile",
    extensions: &["shp"],
    outlines: Some(outlines),
    features: Some(features),
    table: Some(Tabular::Table(table)),
    zone_file: Some(zone_file::zone_file),
    layer: Some(layer),
};

fn outlines(source: &Source) -> Result<Outlines, ReadError> {
    let declared = declared(source)?;
    let parts = shp::polygons(source)?.iter().flat_map(|rings| nest::nest(rings)).collect();
    Ok(Outlines { parts, declared })
}

fn features(source: &Source) -> Result<Features, ReadError> {
    let declared = declared(source)?;
    Ok(Features { features: shp::features(source)?, declared })
}

fn table(source: &Source) -> Result<Table, ReadError> {
    let declared = declared(source)?;
    let (table, coords) = rows(source, shp::points(source)?)?;
    Ok(Table { points: Some(Points { coords, declared }), ..table })
}

fn layer(source: &Source) -> Result<Layer, ReadError> {
    let declared = declared(source)?;
    let (table, shapes) = rows(source, shp::points_or_polygons(source)?)?;
    Ok(Layer { table, shapes: Some((shapes, declared)) })
}

/// The attribute table, each row with its shape.
fn rows<S>(source: &Source, shapes: Vec<Option<S>>) -> Result<(Table, Vec<Option<S>>), ReadError> {
    let name = source.sibling("dbf");
    let Some(bytes) = source.sidecars.get("dbf") else {
        return Err(ReadError::Unexpected {
            place: source.name.clone(),
            found: "no .dbf file beside it".to_owned(),
            expected: "the table of its attributes".to_owned(),
        });
    };
    let encoding = source.sidecars.get("cpg").map(|cpg| text::decode(cpg).into_owned());
    let read = dbf::read(&name, bytes, encoding.as_deref())?;
    if read.records.len() != shapes.len() {
        return Err(ReadError::Unexpected {
            place: name,
            found: format!("{} rows", read.records.len()),
            expected: format!("{}, one for each shape of {}", shapes.len(), source.name),
        });
    }
    let (mut rows, mut kept, mut warnings) = (Vec::new(), Vec::new(), Vec::new());
    for (number, (record, shape)) in (1..).zip(read.records.into_iter().zip(shapes)) {
        let place = format!("{}, record {number}", source.name);
        match record {
            None => warnings.push(Warning::RowDeleted { place }),
            Some(cells) => {
                rows.push(Row { place, cells });
                kept.push(shape);
            }
        }
    }
    let (name, columns) = (source.name.clone(), read.columns);
    Ok((Table { name, columns, rows, points: None, decimal_comma: false, warnings }, kept))
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
