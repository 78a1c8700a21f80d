//! `zones.gpkg`: zones, ground that is not spread, samples, piles and what piles keep from, as the
//! layers of one GeoPackage (OGC 12-128r18, version 1.3), in WGS84.

mod package;
mod wkb;

use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon};
use rusqlite::types::Value;

use super::names::amount_names;
use super::{FormatError, OutputFile};
use crate::field::Nearby;
use crate::geometry::Feature;
use crate::plan::{Plan, ZoneRow, printed_tons};
use crate::units::{Length, Quantity, System, round_to};
use package::{Package, Row, Table};
use wkb::WkbShape;

/// The file's name.
pub(super) const NAME: &str = "zones.gpkg";

/// Decimals of a written distance: a hundredth of a foot.
const LENGTH_DECIMALS: u32 = 2;

/// The package; the same plan gives the same bytes.
pub(super) fn file(plan: &Plan) -> Result<OutputFile, FormatError> {
    let fault = |reason: String| FormatError { file: NAME, reason };
    let tables = [zones(plan), unspread(plan), samples(plan), piles(plan), nearby(plan)?];
    let written = Package::new().and_then(|package| {
        let filled = tables.iter().filter(|table| !table.rows.is_empty());
        filled.into_iter().try_for_each(|table| package.add(table))?;
        package.bytes()
    });
    Ok(OutputFile::new(NAME, written.map_err(|error| fault(error.to_string()))?))
}

fn zones(plan: &Plan) -> Table {
    let [area, mass] = amount_names(plan.settings.system);
    let rows = ZoneRow::all(plan).into_iter().map(|row| zone_row(&row));
    Table {
        name: "zones",
        told: "What is spread where",
        kind: "POLYGON",
        columns: vec![
            ("zone", "INTEGER"),
            ("tier", "INTEGER"),
            ("label", "TEXT"),
            ("rate", "DOUBLE"),
            ("rate_unit", "TEXT"),
            (area, "DOUBLE"),
            (mass, "DOUBLE"),
            ("cec_mean", "DOUBLE"),
        ],
        rows: rows.collect(),
    }
}

fn zone_row(row: &ZoneRow) -> Row {
    let whole = |number: usize| Value::Integer(i64::try_from(number).unwrap_or(i64::MAX));
    let values = vec![
        whole(row.zone),
        whole(row.tier),
        row.label.to_owned().into(),
        row.rate.into(),
        row.rate_unit.to_owned().into(),
        row.area.into(),
        row.mass.into(),
        row.cec_mean.into(),
    ];
    Row { shape: WkbShape::Polygon(row.polygon.clone()), values }
}

fn unspread(plan: &Plan) -> Table {
    let system = plan.settings.system;
    let [area, _] = amount_names(system);
    let rows = ZoneRow::unspread(plan).into_iter().zip(&plan.unspread).map(|(row, piece)| Row {
        shape: WkbShape::Polygon(row.polygon.clone()),
        values: vec![
            piece.why.clone().into(),
            length(piece.distance, system),
            Length::unit(system).symbol().to_owned().into(),
            row.area.into(),
        ],
    });
    Table {
        name: "unspread",
        told: "Ground of the field that is not spread, and why",
        kind: "POLYGON",
        columns: vec![
            ("why", "TEXT"),
            ("distance", "DOUBLE"),
            ("length_unit", "TEXT"),
            (area, "DOUBLE"),
        ],
        rows: rows.collect(),
    }
}

fn samples(plan: &Plan) -> Table {
    // A converted position's last bits are the C library's.
    let row = |id: &str, at: Coord<f64>, cec: Option<f64>, counts: bool| Row {
        shape: WkbShape::Point(crate::written::rounded(at)),
        values: vec![
            id.to_owned().into(),
            cec.map_or(Value::Null, Value::Real),
            Value::Integer(counts.into()),
        ],
    };
    let counted = plan.field.samples.iter().map(|s| row(&s.id, s.wgs84, Some(s.cec), true));
    let excluded = plan.field.excluded.iter().map(|s| row(&s.id, s.wgs84, s.cec, false));
    Table {
        name: "samples",
        told: "Soil samples: CEC in meq/100 g, and whether they count",
        kind: "POINT",
        columns: vec![("sample", "TEXT"), ("cec", "DOUBLE"), ("counts", "BOOLEAN")],
        rows: counted.chain(excluded).collect(),
    }
}

fn piles(plan: &Plan) -> Table {
    let [_, mass] = amount_names(plan.settings.system);
    let rows = plan.stockpile.iter().flat_map(|stockpile| {
        let piles = stockpile.piles.iter().zip(printed_tons(plan, stockpile));
        piles.map(|(pile, tons)| Row {
            shape: WkbShape::Point(pile.spot.wgs84),
            values: vec![
                Value::Integer(i64::try_from(pile.number).unwrap_or(i64::MAX)),
                tons.into(),
            ],
        })
    });
    Table {
        name: "piles",
        told: "Where the material lies",
        kind: "POINT",
        columns: vec![("pile", "INTEGER"), (mass, "DOUBLE")],
        rows: rows.collect(),
    }
}

/// What piles keep from and where road trucks stand, within a mile of the field.
fn nearby(plan: &Plan) -> Result<Table, FormatError> {
    let site = plan.field.site.clone().unwrap_or_default();
    let setbacks = site.setbacks.iter().map(|nearby| ("setback", nearby));
    let mut rows = Vec::new();
    for (purpose, nearby) in setbacks.chain(site.access.iter().map(|nearby| ("access", nearby))) {
        let Nearby { why, distance, features, .. } = nearby;
        for feature in features {
            let system = plan.settings.system;
            rows.push(Row {
                shape: shape(plan, feature)?,
                values: vec![
                    purpose.to_owned().into(),
                    why.clone().into(),
                    length(*distance, system),
                    Length::unit(system).symbol().to_owned().into(),
                ],
            });
        }
    }
    Ok(Table {
        name: "layers",
        told: "What piles keep a distance from, and where road trucks stand",
        kind: "GEOMETRY",
        columns: vec![
            ("purpose", "TEXT"),
            ("why", "TEXT"),
            ("distance", "DOUBLE"),
            ("length_unit", "TEXT"),
        ],
        rows,
    })
}

fn length(length: Length, system: System) -> Value {
    round_to(length.value_in(system), LENGTH_DECIMALS).into()
}

/// A feature of the field's frame in degrees. The rings of an area are of no order: what an even
/// number of them encloses is a hole.
fn shape(plan: &Plan, feature: &Feature) -> Result<WkbShape, FormatError> {
    let fault =
        |error: crate::geometry::OutOfReach| FormatError { file: NAME, reason: error.to_string() };
    let degrees = |line: &[Coord<f64>]| -> Result<LineString<f64>, FormatError> {
        let mut coords = line.to_vec();
        plan.field.boundary.frame().all_to_wgs84(&mut coords).map_err(fault)?;
        for at in &mut coords {
            *at = crate::written::rounded(*at);
        }
        Ok(LineString(coords))
    };
    let lines: Vec<LineString<f64>> =
        feature.lines.iter().map(|line| degrees(line)).collect::<Result<_, _>>()?;
    if feature.filled {
        let rings = lines.into_iter().map(|ring| MultiPolygon(vec![Polygon::new(ring, vec![])]));
        let area = rings.reduce(|one, other| one.xor(&other)).unwrap_or(MultiPolygon(vec![]));
        return Ok(WkbShape::MultiPolygon(area));
    }
    let line = lines.into_iter().next().unwrap_or(LineString(vec![]));
    Ok(match line.0.as_slice() {
        [at] => WkbShape::Point(*at),
        _ => WkbShape::Line(line),
    })
}
