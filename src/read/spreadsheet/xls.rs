use std::io::{Cursor, Read};

/// The most cells of all sheets that are laid out, 32 bytes each and as much for formulas.
const MOST_CELLS: u64 = 1_000_000;

/// Begins a sheet (BOF), in [MS-XLS] 2.4.21.
const SHEET: u16 = 0x0809;

/// Where a sheet's first and last cell are (Dimensions).
const DIMENSIONS: u16 = 0x0200;

const FAR: &str =
    "its sheets reach farther than a laboratory's; save the one with the samples as CSV";

/// Several numbers in a row (`MulRk`).
const SEVERAL: u16 = 0x00bd;

/// Records that begin with a row and a column: `Formula`, `MulRk`, `MulBlank`, `RString`, `LabelSst`,
/// `Blank`, `Number`, `Label`, `BoolErr`, `RK` ([MS-XLS] 2.3.1).
const CELLS: [u16; 10] =
    [0x0006, 0x00bd, 0x00be, 0x00d6, 0x00fd, 0x0201, 0x0203, 0x0204, 0x0205, 0x027e];

/// Refuses a book whose sheets reach so far that they cannot be laid out.
pub(super) fn measure(bytes: &[u8]) -> Result<(), String> {
    let mut book = Vec::new();
    let mut file =
        cfb::CompoundFile::open(Cursor::new(bytes)).map_err(|error| error.to_string())?;
    let stream = file.open_stream("/Workbook").or_else(|_| file.open_stream("/Book"));
    stream
        .and_then(|stream| stream.take(bytes.len() as u64).read_to_end(&mut book))
        .map_err(|error| error.to_string())?;
    let mut rest = book.as_slice();
    let (mut total, mut sheet) = (0_u64, Extent::default());
    while let Some((record, length, inside)) = header(rest) {
        if record == DIMENSIONS
            && !are_dimensions(inside.get(..usize::from(length)).unwrap_or_default())
        {
            return Err(FAR.to_owned());
        }
        if record == SHEET {
            total = total.saturating_add(sheet.cells());
            sheet = Extent::default();
        } else if CELLS.contains(&record)
            && let Some((row, column, _)) = header(inside)
        {
            sheet.reach(row, column);
            // Several cells of a row end with the column of the last one.
            let ends =
                inside.get(..usize::from(length)).and_then(|record| record.split_last_chunk::<2>());
            if let (SEVERAL, Some((_, last))) = (record, ends) {
                sheet.reach(row, u16::from_le_bytes(*last));
            }
        }
        if total.saturating_add(sheet.cells()) > MOST_CELLS {
            return Err(FAR.to_owned());
        }
        rest = inside.get(usize::from(length)..).unwrap_or_default();
    }
    Ok(())
}

/// Whether a sheet's dimensions are such as calamine may make room for: first row, row behind the
/// last, and so the columns ([MS-XLS] 2.4.90); rows of two bytes in older books.
fn are_dimensions(record: &[u8]) -> bool {
    let number =
        |bytes: &[u8]| bytes.iter().rev().fold(0_u64, |sum, &byte| sum << 8 | u64::from(byte));
    let size = if record.len() >= 14 { 4 } else { 2 };
    let Some((rows, columns)) = record.split_at_checked(2 * size) else { return false };
    let extent = |ends: &[u8], size: usize| {
        let (first, behind) = ends.get(..2 * size)?.split_at_checked(size)?;
        number(behind).checked_sub(number(first))
    };
    let cells = extent(rows, size).zip(extent(columns, 2));
    cells.is_some_and(|(rows, columns)| rows.saturating_mul(columns) <= 4 * MOST_CELLS)
}

/// Two numbers of two bytes, and what is behind them.
fn header(bytes: &[u8]) -> Option<(u16, u16, &[u8])> {
    let (first, rest) = bytes.split_first_chunk::<2>()?;
    let (second, rest) = rest.split_first_chunk::<2>()?;
    Some((u16::from_le_bytes(*first), u16::from_le_bytes(*second), rest))
}

/// The rectangle that a sheet's cells are in: its first and last row and column.
#[derive(Default)]
struct Extent(Option<Corners>);

#[derive(Clone, Copy)]
struct Corners {
    rows: (u16, u16),
    columns: (u16, u16),
}

impl Extent {
    fn reach(&mut self, row: u16, column: u16) {
        let to = |(first, last): (u16, u16), at: u16| (first.min(at), last.max(at));
        let here = Corners { rows: (row, row), columns: (column, column) };
        let Corners { rows, columns } = self.0.unwrap_or(here);
        self.0 = Some(Corners { rows: to(rows, row), columns: to(columns, column) });
    }

    fn cells(&self) -> u64 {
        let count = |(first, last): (u16, u16)| u64::from(last - first) + 1;
        self.0.map_or(0, |corners| count(corners.rows) * count(corners.columns))
    }
}
