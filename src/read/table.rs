use geo::Coord;

use super::reference::Declared;
use crate::warning::Warning;

/// Samples or laboratory results as a file gives them: cells of text, and positions if the format
/// has any of its own.
#[derive(Debug)]
pub(super) struct Table {
    /// The file's name, for messages.
    pub name: String,
    /// The column headers as written.
    pub columns: Vec<String>,
    /// The rows, in the file's order.
    pub rows: Vec<Row>,
    /// The positions, for a format that has them: one a row.
    pub points: Option<Points>,
    /// Whether numbers may be written with a decimal comma.
    pub decimal_comma: bool,
    /// What came up while reading.
    pub warnings: Vec<Warning>,
}

/// A row.
#[derive(Debug)]
pub(super) struct Row {
    /// Where it is, such as `samples.csv, row 12`.
    pub place: String,
    /// Its cells; missing ones at the end are empty.
    pub cells: Vec<String>,
}

/// The positions of a table's rows.
#[derive(Debug)]
pub(super) struct Points {
    /// One a row; `None` where the shape is empty.
    pub coords: Vec<Option<Coord<f64>>>,
    /// What the file says about its coordinates.
    pub declared: Option<Declared>,
}

impl Row {
    /// A cell without the blanks around it; empty if the row is shorter.
    pub fn cell(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |cell| cell.trim())
    }
}

impl Table {
    /// Leaves the rows, with their points, that are to be kept.
    pub fn keep(&mut self, keep: &[bool]) {
        let mut rows = keep.iter();
        self.rows.retain(|_| rows.next().is_none_or(|keep| *keep));
        if let Some(points) = &mut self.points {
            let mut points_kept = keep.iter();
            points.coords.retain(|_| points_kept.next().is_none_or(|keep| *keep));
        }
    }

    /// The header of a column.
    pub fn header(&self, column: usize) -> &str {
        self.columns.get(column).map_or("", |header| header.trim())
    }
}
