//! Rectangles of lattice nodes, and the samples that can count in them.

use crate::surface::{Idw, Lattice, Point};

/// A rectangle of nodes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tile {
    pub column: usize,
    pub row: usize,
    pub columns: usize,
    pub rows: usize,
}

/// A rectangle in meters.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rectangle {
    pub centre: [f64; 2],
    /// Half its extents east and north.
    pub half: [f64; 2],
}

impl Tile {
    /// The box about the nodes, a hair wide for the rounding of their coordinates.
    pub fn around(&self, lattice: &Lattice) -> Rectangle {
        let middle = |first: f64, last: f64| first + 0.5 * (last - first);
        let (column, row) = (self.column + self.columns - 1, self.row + self.rows - 1);
        let half = |nodes: usize| 0.5 * (nodes as f64 - 0.999) * lattice.step();
        Rectangle {
            centre: [
                middle(lattice.easting(self.column), lattice.easting(column)),
                middle(lattice.northing(self.row), lattice.northing(row)),
            ],
            half: [half(self.columns), half(self.rows)],
        }
    }

    /// Halves of the sides that are longer than `least` nodes: one to four tiles.
    pub fn split(&self, least: usize) -> impl Iterator<Item = Self> + use<> {
        let tile = *self;
        let parts = move |first: usize, count: usize| {
            let half = (count / 2).next_multiple_of(least).min(count);
            let low = if count > least { half } else { count };
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

/// The samples that can count in a box: a list that is filled over and over.
#[derive(Clone, Debug, Default)]
pub(super) struct Shortlist {
    room: Vec<Point>,
    length: usize,
}

impl Shortlist {
    /// Empties the list.
    pub fn clear(&mut self) {
        self.length = 0;
    }

    /// The samples.
    pub fn points(&self) -> &[Point] {
        self.room.get(..self.length).unwrap_or_default()
    }

    /// Adds the samples that lie within a reach of a box, in their order. No branch depends on a
    /// distance: every sample is written, and the next one over it if it does not count.
    pub fn add(&mut self, points: &[Point], place: &Rectangle, reach_squared: f64) {
        // Ten times the tie tolerance: no node's limit is left outside by rounding.
        let reach_squared = reach_squared * (1.0 + 10.0 * Idw::TIE);
        if self.room.len() < self.length + points.len() {
            self.room.resize(self.length + points.len(), Point::default());
        }
        let Rectangle { centre, half } = *place;
        let Some(room) = self.room.get_mut(self.length..self.length + points.len()) else { return };
        let mut kept = 0;
        for point in points {
            let east = ((point.easting - centre[0]).abs() - half[0]).max(0.0);
            let north = ((point.northing - centre[1]).abs() - half[1]).max(0.0);
            if let Some(place) = room.get_mut(kept) {
                *place = *point;
            }
            kept += usize::from(east * east + north * north <= reach_squared);
        }
        self.length += kept;
    }
}
