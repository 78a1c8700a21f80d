use geo::{BoundingRect, Coord, MultiPolygon};

use super::SurfaceError;

/// A regular lattice of square cells, its nodes counted from the south-west.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lattice {
    easting: f64,
    northing: f64,
    step: f64,
    columns: usize,
    rows: usize,
}

impl Lattice {
    /// The most nodes that a lattice may have.
    pub const MOST_NODES: usize = 2_000_000_000;

    /// A lattice with its south-western node at a place in meters, nodes `step` meters apart.
    ///
    /// # Errors
    /// When the origin is not finite, the step is not a finite number above 0, or there are more
    /// than [`Lattice::MOST_NODES`] nodes.
    pub fn new(
        easting: f64,
        northing: f64,
        step: f64,
        columns: usize,
        rows: usize,
    ) -> Result<Self, SurfaceError> {
        if !(easting.is_finite() && northing.is_finite() && step.is_finite() && step > 0.0) {
            return Err(SurfaceError::Step(step));
        }
        match columns.checked_mul(rows) {
            Some(nodes) if nodes <= Self::MOST_NODES => {
                Ok(Self { easting, northing, step, columns, rows })
            }
            _ => Err(SurfaceError::TooManyNodes { columns, rows }),
        }
    }

    /// A lattice over a field, its nodes at multiples of the step, reaching past it on every side.
    ///
    /// # Errors
    /// As [`Lattice::new`].
    pub fn over(field: &MultiPolygon<f64>, step: f64) -> Result<Self, SurfaceError> {
        let Some(bounds) = field.bounding_rect().filter(|_| step.is_finite() && step > 0.0) else {
            return Err(SurfaceError::Step(step));
        };
        let west = (bounds.min().x / step).floor() - 1.0;
        let south = (bounds.min().y / step).floor() - 1.0;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates, and is then refused as too many"
        )]
        let count = |high: f64, low: f64| ((high / step).ceil() + 2.0 - low) as usize;
        let (columns, rows) = (count(bounds.max().x, west), count(bounds.max().y, south));
        Self::new(west * step, south * step, step, columns, rows)
    }

    /// The easting of a column, in meters.
    #[must_use]
    pub fn easting(&self, column: usize) -> f64 {
        self.easting + column as f64 * self.step
    }

    /// The northing of a row, in meters.
    #[must_use]
    pub fn northing(&self, row: usize) -> f64 {
        self.northing + row as f64 * self.step
    }

    /// Where a node is, by its number: row after row from the south, each from the west.
    #[must_use]
    pub fn node(&self, number: usize) -> Coord<f64> {
        let columns = self.columns.max(1);
        Coord { x: self.easting(number % columns), y: self.northing(number / columns) }
    }

    /// Meters between neighboring nodes.
    #[must_use]
    pub const fn step(&self) -> f64 {
        self.step
    }

    /// Nodes from west to east.
    #[must_use]
    pub const fn columns(&self) -> usize {
        self.columns
    }

    /// Nodes from south to north.
    #[must_use]
    pub const fn rows(&self) -> usize {
        self.rows
    }

    /// All nodes.
    #[must_use]
    pub const fn nodes(&self) -> usize {
        self.columns * self.rows
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lattice_needs_a_step_and_has_a_limit() {
        assert_eq!(
            Lattice::new(0.0, 0.0, 0.0, 2, 2).unwrap_err().to_string(),
            "a surface with a grid of 0 m, expected one above 0"
        );
        assert!(Lattice::new(0.0, 0.0, 1.0, usize::MAX, 2).is_err());
    }
}
