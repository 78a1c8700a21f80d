//! The cells of a lattice: which are clear of the boundary and of the samples.

use geo::Coord;

use crate::surface::Lattice;

/// One flag a cell: clear cells are used whole, the others are left to the rim.
#[derive(Debug)]
pub struct ClearCells {
    columns: usize,
    rows: usize,
    clear: Vec<bool>,
}

impl ClearCells {
    /// All cells clear.
    pub fn new(lattice: &Lattice) -> Self {
        let (columns, rows) = (lattice.columns() - 1, lattice.rows() - 1);
        Self { columns, rows, clear: vec![true; columns * rows] }
    }

    /// Takes away the cells that a box touches, and `margin` more on each side.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the lattice before the cast"
    )]
    pub fn block(&mut self, lattice: &Lattice, a: Coord<f64>, b: Coord<f64>, margin: f64) {
        let span = |low: f64, high: f64, origin: f64, count: usize| {
            let index = |value: f64| value.clamp(0.0, count as f64) as usize;
            let low = index(((low - origin) / lattice.step()).floor() - margin);
            low..index(((high - origin) / lattice.step()).floor() + margin + 1.0)
        };
        let columns = span(a.x.min(b.x), a.x.max(b.x), lattice.easting(0), self.columns);
        let rows = span(a.y.min(b.y), a.y.max(b.y), lattice.northing(0), self.rows);
        for row in rows {
            let start = row * self.columns;
            if let Some(run) = self.clear.get_mut(start + columns.start..start + columns.end) {
                run.fill(false);
            }
        }
    }

    /// Whether a cell is clear; outside the lattice none is.
    fn is_clear(&self, column: usize, row: usize) -> bool {
        column < self.columns
            && row < self.rows
            && self.clear.get(row * self.columns + column).copied().unwrap_or(false)
    }

    /// The corners of each clear cell in the field: south-west, south-east, north-east, north-west.
    pub fn clear(&self, inside: &[bool]) -> impl Iterator<Item = [u32; 4]> {
        let in_field = move |node: u32| inside.get(node as usize).copied().unwrap_or(false);
        (0..self.rows)
            .flat_map(move |row| (0..self.columns).map(move |column| (column, row)))
            .filter(|&(column, row)| self.is_clear(column, row))
            .map(|(column, row)| {
                let sw = self.node(column, row);
                let nw = self.node(column, row + 1);
                [sw, sw + 1, nw + 1, nw]
            })
            .filter(move |&[sw, ..]| in_field(sw))
    }

    /// The node at a column and row. Fewer than 2³² nodes: the lattice is checked when it is laid.
    #[expect(clippy::cast_possible_truncation, reason = "the lattice is under 2^32 nodes")]
    fn node(&self, column: usize, row: usize) -> u32 {
        (row * (self.columns + 1) + column) as u32
    }

    /// The sides between a clear cell and one that is not, in the field.
    pub fn outline(&self, inside: &[bool]) -> Vec<[u32; 2]> {
        let mut sides = Vec::new();
        for [sw, se, ne, nw] in self.clear(inside) {
            let (row, column) =
                (sw as usize / (self.columns + 1), sw as usize % (self.columns + 1));
            let sides_of_cell = [
                ([sw, se], row > 0 && self.is_clear(column, row.wrapping_sub(1))),
                ([se, ne], self.is_clear(column + 1, row)),
                ([ne, nw], self.is_clear(column, row + 1)),
                ([nw, sw], column > 0 && self.is_clear(column.wrapping_sub(1), row)),
            ];
            sides.extend(
                sides_of_cell.into_iter().filter(|(_, clear)| !clear).map(|(side, _)| side),
            );
        }
        sides
    }

    /// The nodes in the field with no clear cell around them.
    pub fn loose_nodes(&self, inside: &[bool]) -> Vec<u32> {
        let mut loose = Vec::new();
        for row in 0..=self.rows {
            for column in 0..=self.columns {
                let node = self.node(column, row);
                if inside.get(node as usize).copied().unwrap_or(false)
                    && !self.is_clear(column, row)
                    && !self.is_clear(column, row.wrapping_sub(1))
                    && !self.is_clear(column.wrapping_sub(1), row)
                    && !self.is_clear(column.wrapping_sub(1), row.wrapping_sub(1))
                {
                    loose.push(node);
                }
            }
        }
        loose
    }
}
