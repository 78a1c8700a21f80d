use std::collections::BTreeSet;
use std::io::{Cursor, Read};

/// The most cells of all sheets that are laid out, 32 bytes each and as much for formulas.
const MOST_CELLS: u64 = 1_000_000;

/// Begins a sheet (BOF), in [MS-XLS] 2.4.21, and ends one (EOF), 2.4.103.
const SHEET: u16 = 0x0809;
const END: u16 = 0x000a;

/// Says where a sheet begins (`BoundSheet8`), in [MS-XLS] 2.4.28.
const PLACE: u16 = 0x0085;

/// Where a sheet's first and last cell are (Dimensions).
const DIMENSIONS: u16 = 0x0200;

pub(super) const DAMAGED: &str = "it is damaged; save the sheet as CSV";

const FAR: &str =
    "its sheets reach farther than a laboratory's; save the one with the samples as CSV";

/// Several numbers in a row (`MulRk`).
const SEVERAL: u16 = 0x00bd;

/// Records that begin with a row and a column: `Formula`, `MulRk`, `MulBlank`, `RString`, `LabelSst`,
/// `Blank`, `Number`, `Label`, `BoolErr`, `RK` ([MS-XLS] 2.3.1).
const CELLS: [u16; 10] =
    [0x0006, 0x00bd, 0x00be, 0x00d6, 0x00fd, 0x0201, 0x0203, 0x0204, 0x0205, 0x027e];

/// Refuses a book whose sheets reach so far that they cannot be laid out, or begin where no record does:
/// others than those that are looked at here would be read then.
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
    let (mut begins, mut places, mut of_book) = (BTreeSet::new(), Vec::new(), true);
    while let Some((record, length, inside)) = header(rest) {
        of_book &= record != END;
        if record == SHEET {
            begins.insert(book.len() - rest.len());
        } else if record == PLACE && of_book {
            let place = inside.first_chunk::<4>().ok_or(DAMAGED)?;
            places.push(u32::from_le_bytes(*place) as usize);
        }
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
    if places.iter().all(|place| begins.contains(place)) { Ok(()) } else { Err(DAMAGED.to_owned()) }
}

/// Whether a sheet's dimensions are such as calamine may make room for: first row, row behind the
/// last, and so the columns ([MS-XLS] 2.4.90); rows of two bytes in older books.
fn are_dimensions(record: &[u8]) -> bool {
    let number =
        |bytes: &[u8]| bytes.iter().rev().fold(0_u64, |sum, &byte| sum << 8 | u64::from(byte));
    let size = if record.len() >= 14 { 4 } else { 2 };
    let Some((rows, columns)) = record.split_at_checked(2 * size) else { return false };
    let ends = |ends: &[u8], size: usize| {
        let (first, behind) = ends.get(..2 * size)?.split_at_checked(size)?;
        Some((number(first), number(behind)))
    };
    let (Some((row, below)), Some((column, beyond))) = (ends(rows, size), ends(columns, 2)) else {
        return false;
    };
    // Where the first column cannot be one, calamine takes them from the left.
    let columns = if column > 0xff { beyond } else { beyond.saturating_sub(column) };
    below.checked_sub(row).is_some_and(|rows| rows.saturating_mul(columns) <= 4 * MOST_CELLS)
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
