//! Which nodes of a row lie inside a set of rings, by the even-odd rule.

use geo::Coord;

/// Where rings cross a family of equally spaced rows, kept a row at a time.
///
/// A row at northing `n` crosses an edge when exactly one of its ends lies at or below `n`; a vertex
/// on the row is therefore counted once, and a horizontal edge never.
#[derive(Debug)]
pub struct Crossings {
    first: usize,
    rows: Vec<Vec<f64>>,
}

impl Crossings {
    /// Crosses rings with the rows `origin + i * step`, `i` in `0..count`. Each ring is a closed run
    /// of positions, first equal to last.
    pub fn of<'a, R>(rings: R, origin: f64, step: f64, count: usize) -> Self
    where
        R: IntoIterator<Item = &'a [Coord<f64>]> + Clone,
    {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for position in rings.clone().into_iter().flatten() {
            low = low.min(position.y);
            high = high.max(position.y);
        }
        let first = row_above(low, origin, step, count);
        let end = row_above(high, origin, step, count).max(first);
        let mut rows = vec![Vec::new(); end - first];
        for ring in rings {
            for (a, b) in ring.iter().zip(ring.iter().skip(1)) {
                let (lower, upper) = if a.y <= b.y { (a, b) } else { (b, a) };
                let from = row_above(lower.y, origin, step, count);
                let to = row_above(upper.y, origin, step, count);
                for (i, row) in rows.iter_mut().enumerate().take(to - first).skip(from - first) {
                    let northing = origin + (first + i) as f64 * step;
                    let share = (northing - lower.y) / (upper.y - lower.y);
                    row.push(lower.x + share * (upper.x - lower.x));
                }
            }
        }
        for row in &mut rows {
            row.sort_by(f64::total_cmp);
        }
        Self { first, rows }
    }

    /// Calls `visit(row, first_column, end_column)` for each run of nodes inside the rings, where
    /// the columns stand at `origin + j * step`, `j` in `0..count`.
    pub fn runs(
        &self,
        origin: f64,
        step: f64,
        count: usize,
        mut visit: impl FnMut(usize, usize, usize),
    ) {
        for (i, row) in self.rows.iter().enumerate() {
            for pair in row.chunks_exact(2) {
                let [west, east] = pair else { continue };
                let first = row_above(*west, origin, step, count);
                let end = row_above(*east, origin, step, count);
                if first < end {
                    visit(self.first + i, first, end);
                }
            }
        }
    }
}

/// The first index whose place `origin + i * step` is at or above a position, at most `count`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to 0..=count before the cast"
)]
fn row_above(position: f64, origin: f64, step: f64, count: usize) -> usize {
    let mut i = ((position - origin) / step).ceil().clamp(0.0, count as f64) as usize;
    // The quotient may round across a whole number: settle it by the very places that are compared.
    while i > 0 && origin + (i - 1) as f64 * step >= position {
        i -= 1;
    }
    while i < count && origin + i as f64 * step < position {
        i += 1;
    }
    i
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(f64, f64)]) -> Vec<Coord<f64>> {
        points.iter().map(|&(x, y)| Coord { x, y }).collect()
    }

    fn inside(rings: &[Vec<Coord<f64>>]) -> Vec<(usize, usize, usize)> {
        let mut runs = Vec::new();
        let crossings = Crossings::of(rings.iter().map(Vec::as_slice), 0.0, 1.0, 10);
        crossings.runs(0.0, 1.0, 10, |row, from, to| runs.push((row, from, to)));
        runs
    }

    #[test]
    fn a_square_with_a_hole() {
        let outer = ring(&[(0.5, 0.5), (4.5, 0.5), (4.5, 3.5), (0.5, 3.5), (0.5, 0.5)]);
        let hole = ring(&[(1.5, 1.5), (2.5, 1.5), (2.5, 2.5), (1.5, 2.5), (1.5, 1.5)]);
        assert_eq!(inside(&[outer, hole]), [(1, 1, 5), (2, 1, 2), (2, 3, 5), (3, 1, 5)]);
    }

    /// Neighbors that share a border on the lattice itself share out its nodes: each to one.
    #[test]
    fn nodes_on_a_border_belong_to_one_side() {
        let west = ring(&[(1.0, 1.0), (2.0, 1.0), (2.0, 3.0), (1.0, 3.0), (1.0, 1.0)]);
        let east = ring(&[(2.0, 1.0), (3.0, 1.0), (3.0, 3.0), (2.0, 3.0), (2.0, 1.0)]);
        assert_eq!(inside(&[west]), [(1, 1, 2), (2, 1, 2)]);
        assert_eq!(inside(&[east]), [(1, 2, 3), (2, 2, 3)]);
    }
}
