//! A shapefile as it is, with what departs from its description (ESRI Shapefile Technical
//! Description, 1998; dBASE III for the table).

use super::{FORMAT, dbf, declared, shp};
use crate::read::format::WantedContent;
use crate::read::nest::nest;
use crate::read::zone_file::{Cell, ZoneFile, ZoneShape};
use crate::read::{ReadError, Source, text};

/// The longest name of a field, in bytes.
const LONGEST_NAME: usize = 10;
/// The header of a `.shx`, and each of its records, in bytes.
const SHX_HEADER: usize = 100;
const SHX_RECORD: usize = 8;

pub(in crate::read) fn zone_file(
    source: &Source,
    _: &WantedContent,
) -> Result<ZoneFile, ReadError> {
    let polygons = shp::all_polygons(source)?;
    let mut departures = Vec::new();
    let crs = match declared(source) {
        Ok(Some(found)) => Some(found.crs),
        Ok(None) => {
            departures.push("there is no .prj file: nothing says what the coordinates are".into());
            None
        }
        Err(error) => {
            departures.push(error.to_string());
            None
        }
    };
    index(source, polygons.len(), &mut departures);
    let table = table(source, polygons.len(), &mut departures);
    let (columns, rows) = table.unwrap_or_default();
    let mut shapes = Vec::new();
    let mut rows = rows.into_iter();
    for (number, rings) in (1..).zip(polygons) {
        let place = format!("record {number}");
        let row = rows.next().unwrap_or_else(|| Some(vec![Cell::Empty; columns.len()]));
        match (rings, row) {
            (_, None) => {
                departures.push(format!("{place} is deleted in the table, not in the .shp"));
            }
            (None, _) => departures.push(format!("{place} has no shape")),
            (Some(rings), Some(cells)) => {
                shapes.push(ZoneShape { place, parts: nest(&rings), cells });
            }
        }
    }
    Ok(ZoneFile {
        format: FORMAT.called,
        exterior_is_counter_clockwise: Some(false),
        columns,
        shapes,
        crs,
        departures,
        ..ZoneFile::default()
    })
}

fn index(source: &Source, shapes: usize, departures: &mut Vec<String>) {
    match source.sidecars.get("shx") {
        None => departures.push("there is no .shx file: many programs need it".into()),
        Some(shx) if shx.len() != SHX_HEADER + SHX_RECORD * shapes => {
            let (found, expected) = (shx.len(), SHX_HEADER + SHX_RECORD * shapes);
            departures.push(format!(
                "the .shx file has {found} bytes, expected {expected} for {shapes} records"
            ));
        }
        Some(_) => {}
    }
}

type Table = (Vec<String>, Vec<Option<Vec<Cell>>>);

fn table(source: &Source, shapes: usize, departures: &mut Vec<String>) -> Option<Table> {
    let Some(bytes) = source.sidecars.get("dbf") else {
        departures.push("there is no .dbf file: no shape has a rate".into());
        return None;
    };
    let encoding = source.sidecars.get("cpg").map(|cpg| text::decode(cpg).into_owned());
    let table = match dbf::read(&source.sibling("dbf"), bytes, encoding.as_deref()) {
        Ok(table) => table,
        Err(error) => {
            departures.push(error.to_string());
            return None;
        }
    };
    if table.records.len() != shapes {
        let rows = table.records.len();
        departures.push(format!("the .dbf file has {rows} rows, expected {shapes}"));
    }
    for name in table.columns.iter().filter(|name| name.len() > LONGEST_NAME) {
        departures.push(format!("the field name \"{name}\" is longer than 10 bytes"));
    }
    let cells = table.records.iter().flatten().flatten();
    let plain = table.columns.iter().chain(cells).all(|text| text.is_ascii());
    if encoding.is_none() && !plain {
        departures.push("there is no .cpg file: nothing says how its letters are encoded".into());
    }
    let numeric = &table.numeric;
    let row = |cells: Vec<String>| cells.into_iter().zip(numeric).map(cell).collect();
    let rows = table.records.into_iter().map(|record| record.map(row)).collect();
    Some((table.columns, rows))
}

fn cell((text, numeric): (String, &bool)) -> Cell {
    if text.is_empty() {
        Cell::Empty
    } else if *numeric {
        text.parse().map_or(Cell::Text(text), Cell::Number)
    } else {
        Cell::Text(text)
    }
}
