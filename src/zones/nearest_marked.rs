//! The nearest of marked nodes on a lattice.

/// Finds the nearest node that is marked; of those equally near the one in the lowest column, and
/// in it the one in the lowest row.
///
/// By the lower envelope of parabolas, along columns and then along rows (Felzenszwalb and
/// Huttenlocher 2012, *Distance transforms of sampled functions*, Theory of Computing 8:415): exact,
/// and linear in the number of nodes. Where a marked node is near, a look around finds it sooner.
pub struct NearestMarked {
    columns: usize,
    /// For each node the row of the nearest marked one in its column.
    in_column: Vec<u32>,
    envelope: Envelope,
    /// The row that the envelope was fitted to.
    fitted: Option<usize>,
}

/// No row.
const NONE: u32 = u32::MAX;

impl NearestMarked {
    /// How many columns to either side are looked at before the envelope of a row is made.
    const NEAR: usize = 16;

    /// Of a row-major lattice with so many columns.
    pub fn new(marked: &[bool], columns: usize) -> Self {
        let columns = columns.max(1);
        let in_column = along_columns(marked, columns);
        Self { columns, in_column, envelope: Envelope::default(), fitted: None }
    }

    /// The node nearest to one; that itself where none is marked.
    pub fn to(&mut self, node: usize) -> usize {
        let (row, column) = (node / self.columns, node % self.columns);
        self.near(row, column).or_else(|| self.far(row, column)).unwrap_or(node)
    }

    /// The nearest one, if it is in one of the nearest columns.
    fn near(&self, row: usize, column: usize) -> Option<usize> {
        let line = self.line(row);
        let look = |away: usize, column: Option<usize>| {
            let column = column?;
            let marked = line.get(column).filter(|marked| **marked != NONE)?;
            Some((away * away + row.abs_diff(*marked as usize).pow(2), column))
        };
        let mut best = look(0, Some(column)).unwrap_or((usize::MAX, 0));
        for away in 1..=Self::NEAR {
            if away * away > best.0 {
                break;
            }
            let beside = [column.checked_sub(away), Some(column + away)];
            best = beside.into_iter().filter_map(|column| look(away, column)).fold(best, Ord::min);
        }
        let (squared, column) = best;
        (squared <= Self::NEAR * Self::NEAR).then(|| self.name(line, column))
    }

    /// The nearest one by the envelope of the row.
    fn far(&mut self, row: usize, column: usize) -> Option<usize> {
        if self.fitted != Some(row) {
            let squares = self.line(row).iter().map(|&marked| match marked {
                NONE => f64::INFINITY,
                marked => (row as f64 - f64::from(marked)).powi(2),
            });
            let squares: Vec<f64> = squares.collect();
            self.envelope.fit(squares.into_iter());
            self.fitted = Some(row);
        }
        self.envelope.lowest_at(column).map(|column| self.name(self.line(row), column))
    }

    /// The rows of the nearest marked nodes in the columns, from a row.
    fn line(&self, row: usize) -> &[u32] {
        self.in_column.get(row * self.columns..(row + 1) * self.columns).unwrap_or_default()
    }

    fn name(&self, line: &[u32], column: usize) -> usize {
        line.get(column).map_or(0, |row| *row as usize) * self.columns + column
    }
}

/// For each node the row of the nearest marked one in its column, the lower of two equally near: the
/// last one below from a sweep up, then the one above from a sweep down where that is nearer.
fn along_columns(marked: &[bool], columns: usize) -> Vec<u32> {
    let mut nearest = vec![NONE; marked.len()];
    let mut before = vec![NONE; columns];
    for ((row, nearest), marked) in
        (0..).zip(nearest.chunks_mut(columns)).zip(marked.chunks(columns))
    {
        for ((nearest, marked), before) in nearest.iter_mut().zip(marked).zip(&mut before) {
            *before = if *marked { row } else { *before };
            *nearest = *before;
        }
    }
    let mut after = vec![NONE; columns];
    let rows = u32::try_from(marked.len() / columns).unwrap_or(NONE);
    for (row, nearest) in (0..rows).rev().zip(nearest.chunks_exact_mut(columns).rev()) {
        for (nearest, after) in nearest.iter_mut().zip(&mut after) {
            let down = if *nearest == NONE { NONE } else { row - *nearest };
            let up = if *after == NONE { NONE } else { *after - row };
            *after = if down == 0 { row } else { *after };
            *nearest = if up < down { *after } else { *nearest };
        }
    }
    nearest
}

/// The lowest of parabolas `cost(q) + (p - q)²` over a line of places.
#[derive(Default)]
struct Envelope {
    /// The parabolas that are lowest somewhere: place, cost, and where it takes over.
    lowest: Vec<(usize, f64, f64)>,
}

impl Envelope {
    fn fit(&mut self, costs: impl Iterator<Item = f64>) {
        self.lowest.clear();
        for (q, height) in costs.enumerate() {
            if height == f64::INFINITY {
                continue;
            }
            let at = q as f64;
            let mut start = f64::NEG_INFINITY;
            while let Some(&(other, low, from)) = self.lowest.last() {
                let r = other as f64;
                start = ((height + at * at) - (low + r * r)) / (2.0 * (at - r));
                if start > from {
                    break;
                }
                self.lowest.pop();
                start = f64::NEG_INFINITY;
            }
            self.lowest.push((q, height, start));
        }
    }

    /// The parabola that is lowest at a place.
    fn lowest_at(&self, place: usize) -> Option<usize> {
        let later = self.lowest.partition_point(|(_, _, start)| *start < place as f64);
        self.lowest.get(later.checked_sub(1)?).map(|(q, ..)| *q)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn squared(columns: usize, a: usize, b: usize) -> usize {
        (a % columns).abs_diff(b % columns).pow(2) + (a / columns).abs_diff(b / columns).pow(2)
    }

    /// Trying every node, with marks dense and sparse.
    #[test]
    fn agrees_with_trying_every_node() {
        let (columns, rows) = (61, 37);
        let mut state = 7_u64;
        for bits in [1, 4, 8] {
            let marked: Vec<bool> = (0..columns * rows)
                .map(|_| {
                    state = state
                        .wrapping_mul(6_364_136_223_846_793_005)
                        .wrapping_add(1_442_695_040_888_963_407);
                    (state >> (64 - bits)) == 0
                })
                .collect();
            assert!(marked.contains(&true));
            let mut nearest = NearestMarked::new(&marked, columns);
            for node in 0..marked.len() {
                let tried = (0..marked.len()).filter(|&other| marked[other]);
                let key = |other: usize| {
                    (squared(columns, node, other), other % columns, other / columns)
                };
                let best = tried.min_by_key(|other| key(*other)).unwrap();
                assert_eq!(nearest.to(node), best, "{bits} bits, node {node}");
                let (row, column) = (node / columns, node % columns);
                assert_eq!(nearest.far(row, column), Some(best), "{bits} bits, node {node}");
            }
        }
    }

    #[test]
    fn where_nothing_is_marked_each_node_is_its_own() {
        let mut nearest = NearestMarked::new(&[false; 12], 4);
        assert!((0..12).all(|node| nearest.to(node) == node));
    }
}
