//! `zones.shp` with its sidecars: the same zones in the same order, WGS84.

use std::io::{Cursor, Seek, Write};

use dbase::{FieldName, FieldValue, Record, TableWriterBuilder};
use geo::{LineString, Polygon};
use shapefile::{Point, PolygonRing, ShapeWriter};

use super::names::amount_names;
use super::{FormatError, OutputFile};
use crate::plan::{Plan, ZoneRow};
use crate::projection::wgs84_prj;
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS, RATE_DECIMALS};

/// The widest text a DBF field can hold, in bytes.
const TEXT_WIDTH: usize = 254;
/// Width of numbers with decimals: up to 99,999,999.99 or 9,999,999.9999.
const NUMBER_WIDTH: u8 = 12;

/// `zones.shp .shx .dbf .prj .cpg`.
pub fn files(plan: &Plan) -> Result<Vec<OutputFile>, FormatError> {
    let (mut shp, mut shx) = (Cursor::new(Vec::new()), Cursor::new(Vec::new()));
    let rows = ZoneRow::all(plan);
    shapes(&rows, &mut shp, &mut shx).map_err(fault)?;
    let table = table(plan, &rows)?;
    Ok(vec![
        OutputFile::new("zones.shp", shp.into_inner()),
        OutputFile::new("zones.shx", shx.into_inner()),
        OutputFile::new("zones.dbf", table),
        OutputFile::new("zones.prj", wgs84_prj()),
        OutputFile::new("zones.cpg", "UTF-8"),
    ])
}

#[expect(clippy::needless_pass_by_value, reason = "the form that map_err takes")]
fn fault(reason: impl ToString) -> FormatError {
    FormatError { file: "zones.shp", reason: reason.to_string() }
}

fn shapes<W: Write + Seek>(rows: &[ZoneRow<'_>], shp: W, shx: W) -> Result<(), shapefile::Error> {
    let mut writer = ShapeWriter::with_shx(shp, shx);
    for row in rows {
        writer.write_shape(&polygon(row.polygon))?;
    }
    writer.finalize()
}

/// Outer ring clockwise, holes counter-clockwise (ESRI Shapefile Technical Description, 1998).
fn polygon(polygon: &Polygon<f64>) -> shapefile::Polygon {
    let points = |line: &LineString<f64>| -> Vec<Point> {
        line.0.iter().rev().map(|at| Point::new(at.x, at.y)).collect()
    };
    let mut rings = vec![PolygonRing::Outer(points(polygon.exterior()))];
    rings.extend(polygon.interiors().iter().map(|hole| PolygonRing::Inner(points(hole))));
    shapefile::Polygon::with_rings(rings)
}

fn table(plan: &Plan, rows: &[ZoneRow<'_>]) -> Result<Vec<u8>, FormatError> {
    let [area, mass] = amount_names(plan.settings.system).map(str::to_uppercase);
    let name =
        |name: &str| FieldName::try_from(name).map_err(|_| fault(format!("bad field name {name}")));
    let label_width =
        rows.iter().map(|row| row.label.len()).max().unwrap_or(1).clamp(1, TEXT_WIDTH);
    #[expect(clippy::cast_possible_truncation, reason = "decimals are single digits")]
    let decimals = |decimals: u32| decimals as u8;
    let builder = TableWriterBuilder::new()
        .add_numeric_field(name("ZONE")?, 9, 0)
        .add_numeric_field(name("TIER")?, 4, 0)
        .add_character_field(name("LABEL")?, u8::try_from(label_width).unwrap_or(u8::MAX))
        .add_numeric_field(name("RATE")?, NUMBER_WIDTH, decimals(RATE_DECIMALS))
        .add_character_field(name("RATE_UNIT")?, 8)
        .add_numeric_field(name(&area)?, NUMBER_WIDTH, decimals(AREA_DECIMALS))
        .add_numeric_field(name(&mass)?, NUMBER_WIDTH, decimals(MASS_DECIMALS))
        .add_numeric_field(name("CEC_MEAN")?, NUMBER_WIDTH, 2);
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = builder.build_with_dest(&mut bytes);
    for row in rows {
        let number =
            |value: f64, decimals: u32| fits(value, decimals).map(|v| FieldValue::Numeric(Some(v)));
        let text = |text: &str| FieldValue::Character(Some(cut(text).to_owned()));
        let mut record = Record::default();
        record.insert("ZONE".into(), number(row.zone as f64, 0)?);
        record.insert("TIER".into(), number(row.tier as f64, 0)?);
        record.insert("LABEL".into(), text(row.label));
        record.insert("RATE".into(), number(row.rate, RATE_DECIMALS)?);
        record.insert("RATE_UNIT".into(), text(row.rate_unit));
        record.insert(area.clone(), number(row.area, AREA_DECIMALS)?);
        record.insert(mass.clone(), number(row.mass, MASS_DECIMALS)?);
        record.insert("CEC_MEAN".into(), number(row.cec_mean, 2)?);
        writer.write_record(&record).map_err(fault)?;
    }
    writer.finalize().map_err(fault)?;
    drop(writer);
    let mut bytes = bytes.into_inner();
    // The header's "last update" would make the bytes differ from day to day.
    if let Some(date) = bytes.get_mut(1..4) {
        date.copy_from_slice(&[100, 1, 1]);
    }
    Ok(bytes)
}

/// The value, when its digits fit the field: the table writer would cut them in silence.
fn fits(value: f64, decimals: u32) -> Result<f64, FormatError> {
    let text = format!("{value:.*}", decimals as usize);
    if value.is_finite() && text.len() <= usize::from(NUMBER_WIDTH) {
        return Ok(value);
    }
    Err(fault(format!("{value} does not fit a field of {NUMBER_WIDTH} digits")))
}

/// A text cut to the widest field, between characters.
fn cut(text: &str) -> &str {
    let end = (0..=text.len().min(TEXT_WIDTH)).rev().find(|&end| text.is_char_boundary(end));
    text.get(..end.unwrap_or(0)).unwrap_or("")
}
