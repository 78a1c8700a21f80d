use super::table::Row;
use crate::warning::Warning;

/// The cells of a text table or of a spreadsheet's sheet, before anything is known of a header.
#[derive(Debug)]
pub(super) struct Grid {
    /// What messages call it: the file's name, and the sheet's.
    pub name: String,
    /// The sheet's name, for a file that has sheets.
    pub sheet: Option<String>,
    /// Whether the sheet is hidden, so that only its name leads to it.
    pub hidden: bool,
    /// The rows that are not empty, in the file's order, with all their cells.
    pub rows: Vec<Row>,
    /// Whether numbers may be written with a decimal comma.
    pub decimal_comma: bool,
    /// What came up while reading.
    pub warnings: Vec<Warning>,
}

impl Row {
    /// Its cells that are not empty, without blanks around them.
    pub fn filled(&self) -> impl DoubleEndedIterator<Item = &str> {
        self.cells.iter().map(|cell| cell.trim()).filter(|cell| !cell.is_empty())
    }
}
