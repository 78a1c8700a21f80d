//! Rectangles of lattice nodes, and the samples that can count in them.

use super::{Idw, Lattice, Point};

/// A rectangle of nodes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tile {
    pub column: usize,
    pub row: usize,
    pub columns: usize,
    pub rows: usize,
}

impl Tile {
    /// The centre, in metres.
    pub fn centre(&self, lattice: &Lattice) -> [f64; 2] {
        let middle = |first: f64, last: f64| first + 0.5 * (last - first);
        [
            middle(
                lattice.easting(self.column),
                lattice.easting(self.column + self.columns.saturating_sub(1)),
            ),
            middle(
                lattice.northing(self.row),
                lattice.northing(self.row + self.rows.saturating_sub(1)),
            ),
        ]
    }

    /// Half the extents, in metres, a hair wide for the rounding of node coordinates.
    pub fn half(&self, lattice: &Lattice) -> [f64; 2] {
        let half = |nodes: usize| 0.5 * (nodes as f64 - 0.999) * lattice.step();
        [half(self.columns), half(self.rows)]
    }

    /// Halves of the sides that are longer than `least` nodes: one to four tiles.
    pub fn split(&self, least: usize) -> impl Iterator<Item = Self> + use<> {
        let tile = *self;
        let parts = move |first: usize, count: usize| {
            let low =
                if count > least { (count / 2).next_multiple_of(least).min(count) } else { count };
            [(first, low), (first + low, count - low)].into_iter().filter(|(_, count)| *count > 0)
        };
        parts(self.row, self.rows).flat_map(move |(row, rows)| {
            parts(tile.column, tile.columns).map(move |(column, columns)| Self {
                column,
                row,
                columns,
                rows,
            })
        })
    }
}

/// Copies the samples that lie within a reach of a rectangle, in their order.
pub(super) fn within(
    points: &[Point],
    centre: [f64; 2],
    half: [f64; 2],
    reach_squared: f64,
    into: &mut Vec<Point>,
) {
    // Ten times the tie tolerance: no node's limit is left outside by rounding.
    let reach_squared = reach_squared * (1.0 + 10.0 * Idw::TIE);
    into.clear();
    into.resize(points.len(), Point::default());
    let mut kept = 0;
    for point in points {
        let east = ((point.easting - centre[0]).abs() - half[0]).max(0.0);
        let north = ((point.northing - centre[1]).abs() - half[1]).max(0.0);
        if let Some(place) = into.get_mut(kept) {
            *place = *point;
        }
        kept += usize::from(east * east + north * north <= reach_squared);
    }
    into.truncate(kept);
}
