use geo::{BoundingRect, Coord, MultiPolygon};

/// What lands, cell by cell, in the turned plane.
#[derive(Clone, Debug, PartialEq)]
pub struct LandedCells {
    /// The lower left corner of the first cell.
    pub origin: Coord<f64>,
    /// The side of a cell, meters.
    pub side: f64,
    /// Cells in a row, across the heading.
    pub columns: usize,
    /// Rows, along the heading.
    pub rows: usize,
    /// kg in each cell, row by row from the lowest.
    pub mass: Vec<f64>,
    /// What landed beyond the cells, kg.
    pub beyond: f64,
}

impl LandedCells {
    /// Cells over a field and the room around it, in meters. The first column and row begin at a
    /// whole number of sides.
    #[must_use]
    pub fn over(field: &MultiPolygon<f64>, room: f64, side: f64) -> Self {
        let (low, high) = field
            .bounding_rect()
            .map_or_else(|| (Coord::zero(), Coord::zero()), |bounds| (bounds.min(), bounds.max()));
        let first = |low: f64| ((low - room) / side).floor() * side;
        let origin = Coord { x: first(low.x), y: first(low.y) };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "above zero, and fields are under 50 km wide"
        )]
        let count = |from: f64, to: f64| (((to + room - from) / side).ceil() as usize).max(1);
        let (columns, rows) = (count(origin.x, high.x), count(origin.y, high.y));
        Self { origin, side, columns, rows, mass: vec![0.0; columns * rows], beyond: 0.0 }
    }

    /// The area of a cell, m2.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.side * self.side
    }

    /// The middle of a cell.
    #[must_use]
    pub fn middle(&self, column: usize, row: usize) -> Coord<f64> {
        Coord {
            x: self.origin.x + (column as f64 + 0.5) * self.side,
            y: self.origin.y + (row as f64 + 0.5) * self.side,
        }
    }

    /// The cell at a place; none beyond the cells.
    #[must_use]
    pub fn at(&self, place: Coord<f64>) -> Option<usize> {
        let column = self.number(place.x - self.origin.x, self.columns)?;
        let row = self.number(place.y - self.origin.y, self.rows)?;
        Some(row * self.columns + column)
    }

    /// What landed at a place, kg/m2.
    #[must_use]
    pub fn rate_at(&self, place: Coord<f64>) -> f64 {
        let mass = self.at(place).and_then(|cell| self.mass.get(cell));
        mass.copied().unwrap_or(0.0) / self.area()
    }

    /// All that landed, kg.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.mass.iter().sum::<f64>() + self.beyond
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked against the count before"
    )]
    fn number(&self, from_origin: f64, count: usize) -> Option<usize> {
        let number = (from_origin / self.side).floor();
        (number >= 0.0 && number < count as f64).then_some(number as usize)
    }

    /// Adds mass to a cell by its column and row, which may lie beyond the cells.
    pub(super) fn drop_in(&mut self, column: isize, row: isize, mass: f64) {
        let cell = usize::try_from(row)
            .ok()
            .zip(usize::try_from(column).ok())
            .filter(|(row, column)| *row < self.rows && *column < self.columns)
            .and_then(|(row, column)| self.mass.get_mut(row * self.columns + column));
        match cell {
            Some(cell) => *cell += mass,
            None => self.beyond += mass,
        }
    }

    /// Adds to a row, from a column on, a mass shared out.
    pub(super) fn drop_row(&mut self, row: isize, first: isize, shares: &[f64], mass: f64) {
        let whole =
            usize::try_from(row).ok().zip(usize::try_from(first).ok()).and_then(|(row, first)| {
                let begin = row * self.columns + first;
                let fits = row < self.rows && first + shares.len() <= self.columns;
                self.mass.get_mut(begin..begin + shares.len()).filter(|_| fits)
            });
        if let Some(cells) = whole {
            for (cell, share) in cells.iter_mut().zip(shares) {
                *cell += share * mass;
            }
        } else {
            for (column, share) in (first..).zip(shares) {
                self.drop_in(column, row, share * mass);
            }
        }
    }
}
