//! Grids of zone codes or rates.

use std::collections::BTreeMap;

use geo::MultiPolygon;

use super::grid_element::{GridElement, GridKind, content};
use super::rates::{Treatment, of_setpoint};
use super::seen;
use crate::geometry::{CellGrid, degree, geodesic_area};
use crate::inspect::report::{Inspection, SeenZone};
use crate::read::taskdata::{Element, Files};
use crate::units::{Area, Length, Quantity, Rate};

/// Grids with more cells are not looked into.
const MOST_CELLS: usize = 10_000_000;
/// A grid that covers less of the field than this leaves some of it without a rate.
const COVERED: f64 = 0.999;

/// What the cells of one value come to.
#[derive(Clone, Copy, Default)]
struct Cells {
    count: usize,
    area: Area,
}

pub(super) fn look(
    element: &Element,
    treatments: &[Treatment],
    field: Option<&MultiPolygon<f64>>,
    files: &Files,
    report: &mut Inspection,
) {
    let Err(reason) = try_look(element, treatments, field, files, report) else { return };
    report.departures.push(format!("grid: {reason}"));
}

fn try_look(
    element: &Element,
    treatments: &[Treatment],
    field: Option<&MultiPolygon<f64>>,
    files: &Files,
    report: &mut Inspection,
) -> Result<(), String> {
    let grid = GridElement::of(element, treatments)?;
    let bytes = content(element, files, report)?;
    let cells = &grid.cells;
    let width = match grid.kind {
        GridKind::Codes => 1,
        GridKind::Values { each, .. } => 4 * each,
    };
    let expected = cells.len().saturating_mul(width);
    if bytes.len() != expected {
        return Err(format!(
            "the file has {} bytes, expected {expected} for {} by {} cells",
            bytes.len(),
            cells.columns,
            cells.rows
        ));
    }
    if cells.len() > MOST_CELLS {
        return Err(format!("more than {MOST_CELLS} cells; they are not looked into"));
    }
    describe(&grid, report);
    let values = bytes.chunks_exact(width).map(|cell| match grid.kind {
        GridKind::Codes => cell.first().map_or(0, |code| i32::from(*code)),
        GridKind::Values { setpoint, .. } => {
            let value = cell.as_chunks::<4>().0.get(setpoint);
            value.map_or(0, |bytes| i32::from_le_bytes(*bytes))
        }
    });
    let (found, outside) = counted(cells, values, field);
    if let Some(field) = field {
        let inside: Area = found.values().map(|cells| cells.area).sum();
        let whole: Area = field.iter().map(geodesic_area).sum();
        if inside.si() < COVERED * whole.si() {
            let percent = 100.0 * (inside / whole);
            report.departures.push(format!("grid: it covers {percent:.1} % of the field"));
        }
    }
    let mut spread_outside = 0;
    for (value, cells) in &found {
        let zone = zone(&grid.kind, *value, *cells, treatments, report);
        let count = outside.get(value).copied().unwrap_or(0);
        spread_outside += if zone.rate.is_some_and(|rate| rate > Rate::ZERO) { count } else { 0 };
        if cells.count > 0 {
            report.zones.push(zone);
        }
    }
    if spread_outside > 0 {
        report
            .notes
            .push(format!("cells outside of the field with a rate above 0: {spread_outside}"));
    }
    Ok(())
}

/// The zone or rate that a value stands for.
fn zone(
    kind: &GridKind,
    value: i32,
    cells: Cells,
    treatments: &[Treatment],
    report: &mut Inspection,
) -> SeenZone {
    let (name, parts, area) = (value.to_string(), cells.count, Some(cells.area));
    match kind {
        GridKind::Codes => {
            let known = treatments.iter().find(|t| u32::try_from(value) == Ok(t.code));
            if let Some(treatment) = known {
                return seen(treatment, parts, cells.area);
            }
            report.departures.push(format!(
                "grid: cells have the code {value}, for which there is no treatment zone"
            ));
            SeenZone { name, rate: None, written: "-".into(), parts, area }
        }
        GridKind::Values { .. } => {
            if value < 0 {
                report.departures.push(format!("grid: cells have the rate {value} mg/m2, below 0"));
            }
            let rate = (value >= 0).then(|| of_setpoint(value));
            SeenZone { name: format!("{value} mg/m2"), rate, written: name, parts, area }
        }
    }
}

fn describe(grid: &GridElement, report: &mut Inspection) {
    let CellGrid { corner, cell, columns, rows } = grid.cells;
    let kind = if matches!(grid.kind, GridKind::Codes) { "zone codes" } else { "rates" };
    let middle = corner.y + cell.y * rows as f64 * 0.5;
    let degree = degree(middle);
    let (east, north) = (Length::metres(cell.x * degree.x), Length::metres(cell.y * degree.y));
    let system = report.system();
    report.facts.push((
        "grid",
        format!(
            "{kind}, {columns} by {rows} cells of about {} by {}, from {}, {}",
            east.show(system, 1),
            north.show(system, 1),
            corner.x,
            corner.y
        ),
    ));
}

/// Cells and their area in the field by value, and how many cells are outside of it. Without a
/// field, all cells count whole.
fn counted(
    cells: &CellGrid,
    values: impl Iterator<Item = i32>,
    field: Option<&MultiPolygon<f64>>,
) -> (BTreeMap<i32, Cells>, BTreeMap<i32, usize>) {
    let mut shares = vec![if field.is_some() { 0.0 } else { 1.0 }; cells.len()];
    for part in field.into_iter().flatten() {
        cells.cover(part, |cell, share| {
            if let Some(sum) = shares.get_mut(cell) {
                *sum += share;
            }
        });
    }
    let mut found: BTreeMap<i32, Cells> = BTreeMap::new();
    let mut outside: BTreeMap<i32, usize> = BTreeMap::new();
    for (cell, (value, share)) in values.zip(shares).enumerate() {
        let sum = found.entry(value).or_default();
        if share > 0.0 {
            sum.count += 1;
            sum.area = sum.area + cells.cell_area(cell) * share;
        } else {
            *outside.entry(value).or_default() += 1;
        }
    }
    (found, outside)
}
