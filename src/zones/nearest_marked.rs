//! The nearest of marked nodes on a lattice.

/// For each node of a row-major lattice with so many columns the nearest node that is marked; itself
/// where none is.
///
/// By the lower envelope of parabolas, along columns and then along rows (Felzenszwalb and
/// Huttenlocher 2012, *Distance transforms of sampled functions*, Theory of Computing 8:415): exact,
/// and linear in the number of nodes. Among nodes equally near, the one found does not depend on
/// anything but the marks.
pub fn nearest_marked(marked: &[bool], columns: usize) -> Vec<usize> {
    let columns = columns.max(1);
    let above = along_columns(marked, columns);
    let mut nearest: Vec<usize> = (0..marked.len()).collect();
    let mut envelope = Envelope::default();
    let lines = above.chunks(columns).zip(nearest.chunks_mut(columns));
    for (row, (above, nearest)) in lines.enumerate() {
        envelope.fit(above.iter().map(|&marked| match marked {
            NONE => f64::INFINITY,
            marked => (row as f64 - marked as f64).powi(2),
        }));
        envelope.read(nearest, |column| {
            let row = above.get(column).copied().unwrap_or(0);
            row * columns + column
        });
    }
    nearest
}

/// No row.
const NONE: usize = usize::MAX;

/// For each node the row of the nearest marked one in its column, the upper of two equally near: the last one
/// above from a sweep down, then the one below from a sweep up where that is nearer.
fn along_columns(marked: &[bool], columns: usize) -> Vec<usize> {
    let mut nearest = vec![NONE; marked.len()];
    let mut before = vec![NONE; columns];
    let lines = nearest.chunks_mut(columns.max(1)).zip(marked.chunks(columns.max(1)));
    for (row, (nearest, marked)) in lines.enumerate() {
        for ((nearest, marked), before) in nearest.iter_mut().zip(marked).zip(&mut before) {
            *before = if *marked { row } else { *before };
            *nearest = *before;
        }
    }
    let mut below = vec![NONE; columns];
    let rows = marked.len() / columns.max(1);
    for (row, nearest) in (0..rows).zip(nearest.chunks_mut(columns.max(1))).rev() {
        for (nearest, below) in nearest.iter_mut().zip(&mut below) {
            let up = if *nearest == NONE { NONE } else { row - *nearest };
            let down = if *below == NONE { NONE } else { *below - row };
            if down < up {
                *nearest = *below;
            } else if up == 0 {
                *below = *nearest;
            }
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

    /// The name of the parabola that is lowest at each place.
    fn read(&self, names: &mut [usize], name_of: impl Fn(usize) -> usize) {
        let mut rest = self.lowest.iter().peekable();
        let mut current = rest.next();
        for (p, name) in names.iter_mut().enumerate() {
            while rest.peek().is_some_and(|(_, _, start)| *start < p as f64) {
                current = rest.next();
            }
            if let Some(&(q, ..)) = current {
                *name = name_of(q);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_trying_every_node() {
        let (columns, rows) = (23, 17);
        let mut state = 7_u64;
        let marked: Vec<bool> = (0..columns * rows)
            .map(|_| {
                state = state
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1_442_695_040_888_963_407);
                (state >> 60) == 0
            })
            .collect();
        let nearest = nearest_marked(&marked, columns);
        let squared = |a: usize, b: usize| {
            let away = |a: usize, b: usize| (a as f64 - b as f64).powi(2);
            away(a % columns, b % columns) + away(a / columns, b / columns)
        };
        for node in 0..marked.len() {
            let tried =
                (0..marked.len()).filter(|&other| marked[other]).map(|other| squared(node, other));
            let least = tried.fold(f64::INFINITY, f64::min);
            assert_eq!(squared(node, nearest[node]), least);
            assert!(marked[nearest[node]]);
        }
    }

    #[test]
    fn where_nothing_is_marked_each_node_is_its_own() {
        assert_eq!(nearest_marked(&[false; 12], 4), (0..12).collect::<Vec<usize>>());
    }
}
