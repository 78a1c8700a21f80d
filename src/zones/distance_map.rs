//! Exact distances on a lattice.

/// For each node of a lattice the squared distance, in steps, to the nearest node that is marked,
/// and that node; infinite where none is marked.
///
/// The lower envelope of parabolas, along columns and then along rows (Felzenszwalb and
/// Huttenlocher 2012, *Distance transforms of sampled functions*, Theory of Computing 8:415): exact,
/// and linear in the number of nodes. Among nodes equally near, the one found does not depend on
/// anything but the marks.
pub struct DistanceMap {
    /// Squared distances, in steps.
    pub squared: Vec<f64>,
    /// The nearest marked node.
    pub nearest: Vec<usize>,
}

impl DistanceMap {
    /// The map of marks that are row-major with so many columns.
    pub fn to_marked(marked: &[bool], columns: usize) -> Self {
        let rows = marked.len() / columns.max(1);
        let mut up: Vec<f64> = vec![f64::INFINITY; marked.len()];
        let mut nearest: Vec<usize> = (0..marked.len()).collect();
        let mut envelope = Envelope::default();
        for column in 0..columns {
            let at = |row: usize| row * columns + column;
            let cost = |row: usize| {
                if marked.get(at(row)).copied().unwrap_or(false) { 0.0 } else { f64::INFINITY }
            };
            envelope.fit(rows, cost);
            envelope.read(rows, |row, squared, from| {
                if let (Some(up), Some(nearest)) = (up.get_mut(at(row)), nearest.get_mut(at(row))) {
                    *up = squared;
                    *nearest = at(from);
                }
            });
        }
        let mut squared = up.clone();
        let columnwise = nearest.clone();
        for row in 0..rows {
            let at = |column: usize| row * columns + column;
            envelope.fit(columns, |column| up.get(at(column)).copied().unwrap_or(f64::INFINITY));
            envelope.read(columns, |column, distance, from| {
                if let (Some(squared), Some(nearest)) =
                    (squared.get_mut(at(column)), nearest.get_mut(at(column)))
                {
                    *squared = distance;
                    *nearest = columnwise.get(at(from)).copied().unwrap_or(at(from));
                }
            });
        }
        Self { squared, nearest }
    }
}

/// The lowest of parabolas `cost(q) + (p - q)²` over a line of places.
#[derive(Default)]
struct Envelope {
    /// The parabolas that are lowest somewhere: place, cost, and where it takes over.
    lowest: Vec<(usize, f64, f64)>,
}

impl Envelope {
    fn fit(&mut self, count: usize, cost: impl Fn(usize) -> f64) {
        self.lowest.clear();
        for q in 0..count {
            let height = cost(q);
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

    fn read(&self, count: usize, mut place: impl FnMut(usize, f64, usize)) {
        let mut rest = self.lowest.iter().peekable();
        let mut current = rest.next();
        for p in 0..count {
            let at = p as f64;
            while rest.peek().is_some_and(|(_, _, start)| *start < at) {
                current = rest.next();
            }
            if let Some(&(q, height, _)) = current {
                let away = at - q as f64;
                place(p, height + away * away, q);
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
        let map = DistanceMap::to_marked(&marked, columns);
        let squared = |a: usize, b: usize| {
            let away = |a: usize, b: usize| (a as f64 - b as f64).powi(2);
            away(a % columns, b % columns) + away(a / columns, b / columns)
        };
        for node in 0..marked.len() {
            let tried =
                (0..marked.len()).filter(|&other| marked[other]).map(|other| squared(node, other));
            let least = tried.fold(f64::INFINITY, f64::min);
            assert_eq!(map.squared[node], least);
            assert_eq!(squared(node, map.nearest[node]), least);
            assert!(marked[map.nearest[node]]);
        }
    }

    #[test]
    fn nothing_marked_is_infinitely_far() {
        assert!(
            DistanceMap::to_marked(&[false; 12], 4).squared.iter().all(|d| *d == f64::INFINITY)
        );
    }
}
