//! Spreadsheets: the cells of their visible sheets as text.
//!
//! A sheet is taken cell by cell, so that one with a cell in its last corner costs no more than
//! another; what calamine lays out whole (`.ods`, `.xls`) is measured first (`ods`, `xls`).

mod budget;
mod ods;
mod xls;

use std::io::Cursor;
use std::panic;

use calamine::{Data, DataRef, Ods, Reader, SheetVisible, Xls, Xlsx};

use self::budget::SheetBudget;
use super::format::{Format, Tabular};
use super::grid::Grid;
use super::table::Row;
use super::{ReadError, Source};

/// Spreadsheets of today's and of older office programs.
pub(super) const FORMAT: Format = Format {
    called: "a spreadsheet",
    extensions: &["xlsx", "xlsm", "ods", "xls"],
    records: None,
    table: Some(Tabular::Grids(grids)),
    zone_file: None,
};

/// More columns than any laboratory's table has.
const MOST_COLUMNS: u32 = 1024;

fn grids(source: &Source) -> Result<Vec<Grid>, ReadError> {
    let fault = |reason: String| ReadError::NotFormat {
        name: source.name.clone(),
        format: FORMAT.called,
        reason,
    };
    let read = match source.extension().as_str() {
        "ods" => of_ods,
        "xls" => of_xls,
        _ => of_xlsx,
    };
    // Calamine trusts offsets and counts that a damaged file has; a panic of it is the file's fault.
    panic::catch_unwind(|| read(source))
        .unwrap_or_else(|_| Err(xls::DAMAGED.to_owned()))
        .map_err(fault)
}

fn of_xlsx(source: &Source) -> Result<Vec<Grid>, String> {
    let mut budget = SheetBudget::of_archive(&source.bytes)?;
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(source.bytes.as_slice())).map_err(said)?;
    let mut grids = Vec::new();
    for (sheet, hidden) in sheets(&book) {
        let mut cells = match book.worksheet_cells_reader(&sheet) {
            Ok(cells) => cells,
            // A chart has a sheet of its own and no cells.
            Err(calamine::XlsxError::NotAWorksheet(_)) => continue,
            Err(error) => return Err(said(error)),
        };
        let mut lines = Lines::new(source, &sheet);
        while let Some(cell) = cells.next_cell().map_err(said)? {
            let (row, column) = cell.get_position();
            let text = match cell.get_value() {
                DataRef::SharedString(text) => (*text).to_owned(),
                other => text(&Data::from(other.clone())),
            };
            lines.add(row, column, text, &mut budget)?;
        }
        grids.push(lines.grid(hidden));
    }
    Ok(grids)
}

fn of_ods(source: &Source) -> Result<Vec<Grid>, String> {
    let mut budget = SheetBudget::of_archive(&source.bytes)?;
    ods::measure(&source.bytes)?;
    let book: Ods<_> = Ods::new(Cursor::new(source.bytes.as_slice())).map_err(said)?;
    whole(source, book, &mut budget)
}

fn of_xls(source: &Source) -> Result<Vec<Grid>, String> {
    let mut budget = SheetBudget::of_file(&source.bytes);
    xls::measure(&source.bytes)?;
    let book: Xls<_> = Xls::new(Cursor::new(source.bytes.as_slice())).map_err(said)?;
    whole(source, book, &mut budget)
}

/// The grids of a book that is laid out whole.
fn whole<'a, B>(
    source: &'a Source,
    mut book: B,
    budget: &mut SheetBudget,
) -> Result<Vec<Grid>, String>
where
    B: Reader<Cursor<&'a [u8]>>,
    B::Error: std::fmt::Display,
{
    let mut grids = Vec::new();
    for (sheet, hidden) in sheets(&book) {
        let range = book.worksheet_range(&sheet).map_err(said)?;
        let (top, left) = range.start().unwrap_or_default();
        let mut lines = Lines::new(source, &sheet);
        for (row, column, value) in range.used_cells() {
            let at = |start: u32, offset: usize| {
                start.saturating_add(u32::try_from(offset).unwrap_or(u32::MAX))
            };
            lines.add(at(top, row), at(left, column), text(value), budget)?;
        }
        grids.push(lines.grid(hidden));
    }
    Ok(grids)
}

fn said(error: impl std::fmt::Display) -> String {
    error.to_string()
}

/// The sheets' names, and whether each is hidden.
fn sheets<'a, B: Reader<Cursor<&'a [u8]>>>(book: &B) -> Vec<(String, bool)> {
    let sheets = book.sheets_metadata().iter();
    sheets.map(|sheet| (sheet.name.clone(), sheet.visible != SheetVisible::Visible)).collect()
}

/// A cell as it would be typed: a whole number without decimals, a date as year-month-day.
fn text(value: &Data) -> String {
    match value {
        Data::Empty => String::new(),
        Data::Int(number) => number.to_string(),
        Data::Float(number) => shortest(*number),
        Data::String(text) | Data::DateTimeIso(text) | Data::DurationIso(text) => text.clone(),
        Data::Bool(is_true) => is_true.to_string(),
        Data::DateTime(when) if when.is_datetime() => {
            let (year, month, day, ..) = when.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02}")
        }
        Data::DateTime(duration) => duration.as_f64().to_string(),
        Data::Error(error) => error.to_string(),
    }
}

/// A number with the 15 digits that spreadsheets show of it: some write 8.2 as 8.199999999999999.
fn shortest(number: f64) -> String {
    format!("{number:.14e}")
        .parse()
        .map_or_else(|_| number.to_string(), |rounded: f64| rounded.to_string())
}

/// The rows of a sheet, as its cells come in.
struct Lines<'a> {
    name: String,
    sheet: &'a str,
    rows: Vec<Row>,
    row: Option<u32>,
}

impl<'a> Lines<'a> {
    fn new(source: &Source, sheet: &'a str) -> Self {
        let name = format!("{}, sheet \"{sheet}\"", source.name);
        Lines { name, sheet, rows: Vec::new(), row: None }
    }

    fn add(
        &mut self,
        row: u32,
        column: u32,
        text: String,
        budget: &mut SheetBudget,
    ) -> Result<(), String> {
        if text.trim().is_empty() {
            return Ok(());
        }
        if column >= MOST_COLUMNS {
            let (sheet, row, column) = (self.sheet, u64::from(row) + 1, u64::from(column) + 1);
            return Err(format!(
                "sheet \"{sheet}\" has \"{text}\" in row {row}, column {column}, expected at most {MOST_COLUMNS} columns; delete it"
            ));
        }
        if self.row != Some(row) {
            self.row = Some(row);
            let place = format!("{}, row {}", self.name, u64::from(row) + 1);
            budget.take(place.len())?;
            self.rows.push(Row { place, cells: Vec::new() });
        }
        let Some(Row { cells, .. }) = self.rows.last_mut() else { return Ok(()) };
        let column = column as usize;
        if cells.len() <= column {
            budget.take((column + 1 - cells.len()) * size_of::<String>())?;
            cells.resize(column + 1, String::new());
        }
        if let Some(cell) = cells.get_mut(column) {
            budget.take(text.len())?;
            *cell = text;
        }
        Ok(())
    }

    fn grid(self, hidden: bool) -> Grid {
        let sheet = Some(self.sheet.to_owned());
        Grid {
            name: self.name,
            sheet,
            hidden,
            rows: self.rows,
            decimal_comma: false,
            warnings: Vec::new(),
        }
    }
}

#[cfg(test)]
pub(super) mod tests;
