//! Cells of a grid in degrees, and how much of each a polygon covers.

use geo::{BoundingRect, Coord, LineString, Polygon, Rect};

use super::box_area;
use crate::units::Area;

/// Less of a cell than this is rounding: a hundred-thousandth of a square millimeter on 10 m².
const NOTHING: f64 = 1e-12;

/// Equal cells in longitude and latitude, numbered by rows from the south, each from the west.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellGrid {
    /// The south-western corner, degrees.
    pub corner: Coord<f64>,
    /// A cell's sides, degrees.
    pub cell: Coord<f64>,
    /// Cells from west to east.
    pub columns: usize,
    /// Cells from south to north.
    pub rows: usize,
}

/// The part of the grid around a polygon.
struct Window {
    first: [usize; 2],
    columns: usize,
    rows: usize,
    /// What lies in each cell itself, left of the edges that cross it; in cells.
    partial: Vec<f64>,
    /// What the edges in each cell add to all cells to the west of it in the row.
    passed: Vec<f64>,
}

impl CellGrid {
    /// The cells of a size that reach over a rectangle from its south-western corner.
    #[must_use]
    pub fn over(bounds: Rect<f64>, cell: Coord<f64>) -> Self {
        let count = |extent: f64, side: f64| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "saturates"
            )]
            let count = (extent / side).ceil().max(1.0) as usize;
            // The last cell may end a rounding short of the far edge.
            if count as f64 * side < extent { count + 1 } else { count }
        };
        let (columns, rows) = (count(bounds.width(), cell.x), count(bounds.height(), cell.y));
        Self { corner: bounds.min(), cell, columns, rows }
    }

    /// How many cells there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.columns.saturating_mul(self.rows)
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The area of a cell on the ellipsoid.
    #[must_use]
    pub fn cell_area(&self, number: usize) -> Area {
        let row = number / self.columns.max(1);
        let middle = self.corner.y + (row as f64 + 0.5) * self.cell.y;
        box_area(middle, self.cell)
    }

    /// Calls `take` with every cell that a polygon reaches into, in order, and the part of it that
    /// is covered, from 0 to 1. Exteriors count counter-clockwise, holes clockwise.
    ///
    /// Exact but for rounding: the shoelace sum of the rings, cell by cell.
    pub fn cover(&self, polygon: &Polygon<f64>, mut take: impl FnMut(usize, f64)) {
        let Some(mut window) = self.window(polygon) else { return };
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            window.add(&self.ring_in_cells(ring));
        }
        let width = window.columns + 1;
        let rows = window.partial.chunks_exact(width).zip(window.passed.chunks_exact(width));
        for (row, (partial, passed)) in rows.enumerate() {
            let mut beyond: f64 = passed.iter().sum();
            for (column, (own, passed)) in partial.iter().zip(passed).enumerate() {
                beyond -= passed;
                let share = own + beyond;
                if share > NOTHING && column < window.columns {
                    let [first_column, first_row] = window.first;
                    let number = (first_row + row) * self.columns + first_column + column;
                    take(number, share.min(1.0));
                }
            }
        }
    }

    fn in_cells(&self, at: Coord<f64>) -> Coord<f64> {
        let from = at - self.corner;
        Coord { x: from.x / self.cell.x, y: from.y / self.cell.y }
    }

    fn ring_in_cells(&self, ring: &LineString<f64>) -> Vec<Coord<f64>> {
        ring.0.iter().map(|&at| self.in_cells(at)).collect()
    }

    fn window(&self, polygon: &Polygon<f64>) -> Option<Window> {
        let bounds = polygon.bounding_rect()?;
        let (low, high) = (self.in_cells(bounds.min()), self.in_cells(bounds.max()));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let span = |low: f64, high: f64, end: usize| {
            let first = low.floor().clamp(0.0, end as f64) as usize;
            (first, (high.ceil().clamp(0.0, end as f64) as usize).saturating_sub(first))
        };
        let (column, columns) = span(low.x, high.x, self.columns);
        let (row, rows) = span(low.y, high.y, self.rows);
        let sums = vec![0.0; (columns + 1) * rows];
        (columns > 0 && rows > 0).then(|| Window {
            first: [column, row],
            columns,
            rows,
            partial: sums.clone(),
            passed: sums,
        })
    }
}

impl Window {
    fn add(&mut self, ring: &[Coord<f64>]) {
        let shift = Coord { x: self.first[0] as f64, y: self.first[1] as f64 };
        for (a, b) in ring.iter().zip(ring.iter().skip(1)) {
            let (a, b) = (*a - shift, *b - shift);
            let at = |y: f64| Coord { x: a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y)), y };
            // Level edges have nothing to their left.
            if a.y != b.y {
                pieces(a, b, |p| p.y, at, self.rows, |row, a, b| self.add_in_row(row, a, b));
            }
        }
    }

    /// Adds an edge that stays in one row.
    fn add_in_row(&mut self, row: usize, a: Coord<f64>, b: Coord<f64>) {
        let width = self.columns + 1;
        let at = |x: f64| Coord { x, y: a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)) };
        // What lies west of the window counts for no cell, what lies east of it for all.
        let west = |p: Coord<f64>| Coord { x: p.x.max(0.0), y: p.y };
        let mut add = |column: usize, a: Coord<f64>, b: Coord<f64>| {
            let rise = b.y - a.y;
            let middle = f64::midpoint(a.x, b.x).clamp(column as f64, column as f64 + 1.0);
            let sums = self.partial.get_mut(row * width + column);
            if let (Some(own), Some(passed)) = (sums, self.passed.get_mut(row * width + column)) {
                *own += (middle - column as f64) * rise;
                *passed += rise;
            }
        };
        let end = self.columns as f64;
        if a.x == b.x || a.x.max(b.x) <= 0.0 || a.x.min(b.x) >= end {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let column = f64::midpoint(a.x, b.x).clamp(0.0, end) as usize;
            add(column, west(a), west(b));
            return;
        }
        // Beyond the window's ends the edge goes on outside of it.
        let ends = [(a, b), (b, a)].map(|(p, _)| if p.x > end { Some((p, at(end))) } else { None });
        for (i, outside) in ends.into_iter().enumerate() {
            if let Some((beyond, edge)) = outside {
                let (from, to) = if i == 0 { (beyond, edge) } else { (edge, beyond) };
                add(self.columns, from, to);
            }
        }
        pieces(a, b, |p| p.x, at, self.columns, add);
    }
}

/// Cuts an edge at the whole numbers of one axis from 0 to `end`, and leaves out what is beyond.
fn pieces(
    a: Coord<f64>,
    b: Coord<f64>,
    along: impl Fn(Coord<f64>) -> f64,
    at: impl Fn(f64) -> Coord<f64>,
    end: usize,
    mut take: impl FnMut(usize, Coord<f64>, Coord<f64>),
) {
    let (from, to) = (along(a), along(b));
    let (low, high) = (from.min(to).max(0.0), from.max(to).min(end as f64));
    if low >= high {
        return;
    }
    let place = |value: f64| {
        if value == from {
            a
        } else if value == to {
            b
        } else {
            at(value)
        }
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within 0 and end")]
    let (first, last) = (low.floor() as usize, high.ceil() as usize);
    for cell in first..last {
        let (p, q) = (place(low.max(cell as f64)), place(high.min((cell + 1) as f64)));
        if from < to { take(cell, p, q) } else { take(cell, q, p) }
    }
}

#[cfg(test)]
mod tests;
