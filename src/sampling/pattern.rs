use geo::Coord;

/// A regular pattern of points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pattern {
    /// The corners of squares.
    Square,
    /// The corners of triangles of equal sides; each point's ground is a hexagon.
    Triangular,
}

impl Pattern {
    /// The distance between neighbors, in meters, where each point has so many square meters.
    #[must_use]
    pub fn spacing(self, area: f64) -> f64 {
        match self {
            Self::Square => area.sqrt(),
            Self::Triangular => (2.0 * area / 3.0_f64.sqrt()).sqrt(),
        }
    }

    /// The square meters of each point, where neighbors are so many meters apart.
    #[must_use]
    pub fn area(self, spacing: f64) -> f64 {
        match self {
            Self::Square => spacing * spacing,
            Self::Triangular => 0.5 * 3.0_f64.sqrt() * spacing * spacing,
        }
    }

    /// The pattern with so many square meters a point, turned counter-clockwise by radians and
    /// shifted by parts of its steps.
    pub(super) fn laid(self, area: f64, turn: f64, shift: Coord<f64>) -> Laid {
        let along = self.spacing(area);
        Laid { pattern: self, along, across: area / along, turn: libm::sincos(turn), shift }
    }
}

/// A pattern on the ground.
#[derive(Clone, Copy, Debug)]
pub(super) struct Laid {
    pattern: Pattern,
    /// Between the points of a row, and between rows.
    along: f64,
    across: f64,
    /// Sine and cosine.
    turn: (f64, f64),
    shift: Coord<f64>,
}

/// A point of a pattern: its row, and its number in it.
pub(super) type Cell = (i64, i64);

impl Laid {
    /// The point that is nearest to a place.
    #[expect(clippy::cast_possible_truncation, reason = "counts of rows within a field")]
    pub fn cell(&self, at: Coord<f64>) -> Cell {
        let (sin, cos) = self.turn;
        let along = (at.x * cos + at.y * sin) / self.along - self.shift.x;
        let across = (at.y * cos - at.x * sin) / self.across - self.shift.y;
        let in_row = |row: f64| {
            let number = (along - self.offset(row)).round();
            let (x, y) = (along - self.offset(row) - number, across - row);
            let apart = (x * self.along).powi(2) + (y * self.across).powi(2);
            ((row as i64, number as i64), apart)
        };
        let (below, above) = (in_row(across.floor()), in_row(across.ceil()));
        if above.1 < below.1 { above.0 } else { below.0 }
    }

    /// Where a point is.
    pub fn middle(&self, (row, number): Cell) -> Coord<f64> {
        let (sin, cos) = self.turn;
        let row = row as f64;
        let along = (number as f64 + self.offset(row) + self.shift.x) * self.along;
        let across = (row + self.shift.y) * self.across;
        Coord { x: along * cos - across * sin, y: along * sin + across * cos }
    }

    /// Every other row of triangles is half a step on.
    fn offset(&self, row: f64) -> f64 {
        match self.pattern {
            Pattern::Square => 0.0,
            Pattern::Triangular => 0.5 * row.rem_euclid(2.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean squared distance to the nearest point where each has one square meter: 1/6 for squares,
    /// 5 / (18 sqrt 3) = 0.16037 for triangles (J. H. Conway, N. J. A. Sloane, *Sphere Packings,
    /// Lattices and Groups*, 3rd edition, 1999, chapter 21: twice the normalized second moments 1/12
    /// and 5 / (36 sqrt 3) of square and hexagon).
    #[test]
    fn mean_squared_distances_are_the_known_ones() {
        for (pattern, known) in
            [(Pattern::Square, 1.0 / 6.0), (Pattern::Triangular, 5.0 / (18.0 * 3.0_f64.sqrt()))]
        {
            let laid = pattern.laid(1.0, 0.3, Coord { x: 0.21, y: 0.77 });
            let (mut sum, mut count) = (0.0, 0.0);
            // A patch of 40 by 40 in steps that have nothing in common with the pattern.
            for number in 0..1_000_000_u32 {
                let (column, row) = (f64::from(number % 1000), f64::from(number / 1000));
                let at = Coord { x: 0.040_213 * column, y: 0.040_117 * row };
                let off = laid.middle(laid.cell(at)) - at;
                sum += off.x * off.x + off.y * off.y;
                count += 1.0;
            }
            let found = sum / count;
            assert!((found / known - 1.0).abs() < 2e-4, "{pattern:?}: {found}");
            assert!((pattern.area(pattern.spacing(3.0)) - 3.0).abs() < 1e-12);
        }
        assert!((5.0 / (18.0 * 3.0_f64.sqrt()) - 0.160_37_f64).abs() < 1e-5);
    }
}
