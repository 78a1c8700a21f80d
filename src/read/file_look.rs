//! What a file of an unknown purpose holds.

use geo::{Coord, MultiPolygon};

use super::columns::{self, CEC, ID};
use super::position::positions;
use super::records::ShapePart;
use super::sheets::TableSearch;
use super::zones::polygons;
use super::{ReadError, SampleSettings, Source, choice, formats, reference};
use crate::field::FieldOutline;

/// What a file holds, as far as it takes to say what it may be for.
#[derive(Clone, Debug, Default)]
pub struct FileLook {
    /// Its polygons, one outline for each name, or all of them without a name.
    pub fields: Vec<FieldOutline>,
    /// The column that has the names.
    pub names: Option<String>,
    /// How many points it holds that are no samples.
    pub points: usize,
    /// How many lines.
    pub lines: usize,
    /// Where samples lie, of a table with positions or of points with columns.
    pub samples: Vec<Coord<f64>>,
    /// How many rows its table has.
    pub rows: usize,
    /// The headers of its columns; empty for a file without a table.
    pub columns: Vec<String>,
    /// Its first rows, cell by cell.
    pub first_rows: Vec<Vec<String>>,
    /// The column with the CEC, or why there is none that can only be meant.
    pub cec: Option<Result<String, String>>,
    /// The column with the samples' names.
    pub id: Option<String>,
    /// The coordinate system that its places are taken to be in.
    pub crs: Option<String>,
    /// Why its places could not be had.
    pub without_places: Option<String>,
}

/// As many rows as it takes to see what a table holds.
const FIRST_ROWS: usize = 4;

/// Looks into a file.
///
/// # Errors
/// When it cannot be read, or holds several layers.
pub fn look_into(source: &Source) -> Result<FileLook, ReadError> {
    let mut found = FileLook::default();
    if formats::has_shapes(source)? {
        shapes(source, &mut found)?;
        if !found.fields.is_empty() || found.lines > 0 {
            return Ok(found);
        }
    }
    // Of several sheets the one that has most of what is looked for.
    let both: fn(&[String]) -> bool =
        |headers| columns::have_cec(headers) && columns::have_positions(headers);
    let kinds = [both, columns::have_cec, columns::have_positions];
    let read = |fits| formats::table(source, None, &TableSearch::by(None, [], fits));
    let mut tables = kinds.into_iter().map(read);
    let table = match tables.find(Result::is_ok) {
        Some(table) => table?,
        None => formats::table(source, None, &TableSearch::default())?,
    };
    found.rows = table.rows.len();
    found.columns = (0..table.columns.len()).map(|i| table.header(i).to_owned()).collect();
    let first = table.rows.iter().take(FIRST_ROWS);
    found.first_rows = first
        .map(|row| (0..table.columns.len()).map(|i| row.cell(i).to_owned()).collect())
        .collect();
    found.cec = match columns::find(&table, &CEC, None) {
        Ok(column) => column.map(|column| Ok(table.header(column).to_owned())),
        Err(error) => Some(Err(error.to_string())),
    };
    let id = columns::find(&table, &ID, None).ok().flatten();
    found.id = id.map(|column| table.header(column).to_owned());
    match positions(&table, &SampleSettings::default(), &mut Vec::new()) {
        Ok((at, coordinates)) => {
            found.samples = at.into_iter().flatten().collect();
            found.crs = Some(coordinates.crs);
        }
        Err(ReadError::NoColumn { .. }) => {}
        Err(error) => found.without_places = Some(error.to_string()),
    }
    // Points that say nothing of soil are wells and the like.
    if table.points.is_some() && found.cec.is_none() && found.id.is_none() {
        found.points = found.samples.len();
        found.samples.clear();
    }
    Ok(found)
}

fn shapes(source: &Source, found: &mut FileLook) -> Result<(), ReadError> {
    let records = formats::features(source, None)?;
    let column = choice::names(&records, &source.name, None).ok();
    found.names = column.and_then(|column| records.columns.get(column)).cloned();
    let declared = records.declared.clone();
    for record in records.all {
        let is_area = |piece: &ShapePart| matches!(piece, ShapePart::Area(_) | ShapePart::Rings(_));
        if !record.pieces.iter().any(is_area) {
            let is_line = |piece: &&ShapePart| matches!(piece, ShapePart::Line(_));
            found.lines += record.pieces.iter().filter(is_line).count();
            continue;
        }
        let name = column.map_or_else(String::new, |column| record.text(column));
        let Some(mut parts) = record.polygons().ok().flatten() else { continue };
        let mut coords: Vec<Coord<f64>> = parts.iter().flatten().flatten().copied().collect();
        match reference::to_wgs84(
            &source.name,
            declared.as_ref(),
            None,
            &mut coords,
            &mut Vec::new(),
        ) {
            Ok(coordinates) => found.crs = Some(coordinates.crs),
            Err(error) => {
                found.without_places = Some(error.to_string());
                continue;
            }
        }
        let places = parts.iter_mut().flatten().flatten();
        places.zip(coords).for_each(|(place, coord)| *place = coord);
        let MultiPolygon(parts) = polygons(parts);
        match found.fields.iter_mut().find(|field| field.name == name) {
            Some(field) => field.polygons.0.extend(parts),
            None => found.fields.push(FieldOutline { name, polygons: MultiPolygon(parts) }),
        }
    }
    Ok(())
}
