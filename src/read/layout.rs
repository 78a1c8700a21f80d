//! Where the header of a table is, and which rows around the results are none: titles above, units
//! below the header, the header again on a later page, averages and notes at the end.

use super::ReadError;
use super::cec_unit::milliequivalents;
use super::columns;
use super::grid::Grid;
use super::heading;
use super::number;
use super::table::{Row, Table};
use crate::soil::CationUnit;
use crate::warning::Warning;

/// How far down a header is looked for, in rows that are not empty.
const DEEPEST_HEADER: usize = 60;

/// First words of rows that sum up results.
const SUMMARIES: &[&str] = &[
    "average",
    "avg",
    "mean",
    "median",
    "minimum",
    "min",
    "maximum",
    "max",
    "range",
    "stddev",
    "stdev",
    "std",
    "standarddeviation",
    "sd",
    "cv",
    "variance",
    "count",
    "total",
    "sum",
    "optimum",
    "optimal",
    "fieldaverage",
    "overallaverage",
];

/// First words of rows below the header that say how the columns were measured.
const BELOW_HEADER: &[&str] =
    &["units", "unit", "uom", "method", "methods", "analysismethod", "testmethod", "procedure"];

/// How sure a row is a header: how many of its cells are usual headers, those that the job names
/// threefold.
pub(super) fn score(row: &Row, named: &[&str]) -> usize {
    let is_named = |cell: &str| named.iter().any(|name| name.trim().eq_ignore_ascii_case(cell));
    row.filled()
        .map(|cell| if is_named(cell) { 3 } else { usize::from(columns::is_usual(cell)) })
        .sum()
}

/// The row that is the header: the one with most usual headers, or the first one of all.
pub(super) fn header(grid: &Grid, named: &[&str]) -> usize {
    let scores = grid.rows.iter().take(DEEPEST_HEADER).map(|row| score(row, named));
    let best = scores.enumerate().max_by(|(i, a), (j, b)| a.cmp(b).then(j.cmp(i)));
    best.filter(|(_, score)| *score >= 2).map_or(0, |(index, _)| index)
}

/// The table below the header.
pub(super) fn table(grid: Grid, named: &[&str]) -> Result<Table, ReadError> {
    let at = header(&grid, named);
    let Grid { name, rows, decimal_comma, mut warnings, .. } = grid;
    let mut rows = rows.into_iter().skip(at);
    let mut columns = rows.next().map(|row| row.cells).unwrap_or_default();
    let headings = columns.iter().rposition(|heading| !heading.trim().is_empty());
    let headings = headings.map_or(0, |last| last + 1);
    let same =
        |row: &Row| row.filled().eq(columns.iter().map(|c| c.trim()).filter(|c| !c.is_empty()));
    let mut rows: Vec<Row> = rows.filter(|row| !same(row)).collect();
    while rows.first().is_some_and(|row| is_below_header(row, decimal_comma)) {
        let units = rows.remove(0);
        for (column, heading) in columns.iter_mut().enumerate() {
            add_unit(heading, units.cell(column)).map_err(|own| ReadError::BadUnit {
                name: name.clone(),
                column: heading.clone(),
                unit: units.cell(column).to_owned(),
                expected: format!("{own} as in the header above it; mend one of them"),
            })?;
        }
    }
    leave_out_summaries(&name, &mut rows, &mut warnings);
    check_widths(&name, headings, columns.len(), &rows)?;
    for row in &mut rows {
        while row.cells.last().is_some_and(|cell| cell.trim().is_empty()) {
            row.cells.pop();
        }
    }
    Ok(Table { name, columns, rows, points: None, decimal_comma, warnings })
}

fn letters(cell: &str) -> String {
    cell.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Whether a row below the header has units or methods in place of results: no number in it, and
/// nothing or a word for it where the sample's name would be, or a unit somewhere.
fn is_below_header(row: &Row, decimal_comma: bool) -> bool {
    let first = row.cell(0);
    let says = first.is_empty() || BELOW_HEADER.contains(&letters(first).as_str());
    let unit = |cell: &str| CationUnit::read(cell).is_some();
    row.filled().all(|cell| number::parse(cell, decimal_comma).is_none())
        && (says || row.filled().any(unit))
}

/// Puts the unit of a row below the header into brackets behind the header, unless it has its own; that
/// one where the two differ.
fn add_unit(heading: &mut String, unit: &str) -> Result<(), String> {
    // Words of a method are longer than any unit, or have no unit's letters.
    let is_unit =
        unit.len() <= 16 && (unit.contains(['%', '/']) || CationUnit::read(unit).is_some());
    if !is_unit || heading.trim().is_empty() {
        return Ok(());
    }
    let own = heading::unit(heading).map(str::to_owned).or_else(|| in_brackets(heading));
    match own {
        Some(own) if differ(&own, unit) => Err(own),
        Some(_) => Ok(()),
        None => {
            *heading = format!("{} ({unit})", heading.trim());
            Ok(())
        }
    }
}

/// The unit in a header's last brackets, if it is one.
fn in_brackets(heading: &str) -> Option<String> {
    let (_, rest) = heading.rsplit_once(['(', '['])?;
    let inside = rest.trim_end().trim_end_matches([')', ']']).trim();
    let is_unit = inside.contains(['%', '/']) || CationUnit::read(inside).is_some();
    is_unit.then(|| inside.to_owned())
}

/// Whether two units are known and not the same.
fn differ(one: &str, other: &str) -> bool {
    let apart = |one: Option<f64>, other: Option<f64>| {
        one.zip(other).is_some_and(|(one, other)| one != other)
    };
    let kinds = [one, other].map(CationUnit::read);
    apart(milliequivalents(one), milliequivalents(other))
        || matches!(kinds, [Some(one), Some(other)] if one != other)
}

/// Leaves out averages and the like, and notes of one cell behind the last result.
fn leave_out_summaries(name: &str, rows: &mut Vec<Row>, warnings: &mut Vec<Warning>) {
    let first = |row: &Row| row.filled().next().unwrap_or_default().to_owned();
    let mut left_out: Vec<String> = rows.iter().filter(|row| is_summary(row)).map(first).collect();
    rows.retain(|row| !is_summary(row));
    let results = rows.iter().rposition(|row| !is_note(row)).map_or(0, |last| last + 1);
    left_out.extend(rows.iter().skip(results).map(first));
    rows.truncate(results);
    if !left_out.is_empty() {
        warnings.push(Warning::NoSamples { file: name.to_owned(), cells: left_out });
    }
}

/// Whether a row has a sentence and nothing else.
fn is_note(row: &Row) -> bool {
    let mut filled = row.filled();
    filled.next().is_some_and(|cell| cell.contains(' ')) && filled.next().is_none()
}

fn is_summary(row: &Row) -> bool {
    row.filled().next().is_some_and(|cell| SUMMARIES.contains(&letters(cell).as_str()))
}

fn check_widths(
    name: &str,
    headings: usize,
    columns: usize,
    rows: &[Row],
) -> Result<(), ReadError> {
    let filled = |row: &Row| row.cells.iter().rposition(|cell| !cell.trim().is_empty());
    if let Some(row) = rows.iter().find(|row| filled(row).is_some_and(|last| last >= columns)) {
        return Err(ReadError::Unexpected {
            place: row.place.clone(),
            found: format!("{} cells", filled(row).map_or(0, |last| last + 1)),
            expected: format!("{columns}, one for each column of the header"),
        });
    }
    // Where every row is as short, it is the header that has a cell too many, and all columns behind
    // it would be taken for their neighbors.
    if let Some(cells) = rows.first().map(|row| row.cells.len())
        && cells < headings
        && rows.iter().all(|row| row.cells.len() == cells)
    {
        return Err(ReadError::Unexpected {
            place: name.to_owned(),
            found: format!("{headings} cells in the header and {cells} in the rows"),
            expected: "as many in both; put a heading that has a comma in it in quotes".to_owned(),
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests;
