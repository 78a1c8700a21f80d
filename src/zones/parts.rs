//! Connected sets of nodes on a lattice of classes.

use super::class::OUTSIDE;

/// A connected set of nodes that go.
pub struct ClassPart {
    /// Its nodes.
    pub nodes: Vec<usize>,
    /// The classes beside it, of nodes that stay.
    pub around: Vec<u32>,
}

impl ClassPart {
    /// Its node nearest to its mean place.
    pub fn middle(&self, columns: usize) -> usize {
        let columns = columns.max(1);
        let count = self.nodes.len().max(1) as f64;
        let mean = |of: &dyn Fn(usize) -> usize| {
            self.nodes.iter().map(|node| of(*node) as f64).sum::<f64>() / count
        };
        let (row, column) = (mean(&|node| node / columns), mean(&|node| node % columns));
        let away = |node: usize| {
            ((node / columns) as f64 - row).powi(2) + ((node % columns) as f64 - column).powi(2)
        };
        let nearest =
            self.nodes.iter().min_by(|a, b| away(**a).total_cmp(&away(**b)).then(a.cmp(b)));
        nearest.copied().unwrap_or_default()
    }
}

/// The nodes that go, by connected sets of one class.
pub fn parts(mut goes: Vec<bool>, field: &[u32], columns: usize) -> Vec<ClassPart> {
    let stays: Vec<bool> = goes.iter().map(|goes| !goes).collect();
    let mut parts = Vec::new();
    for start in 0..field.len() {
        if !take(&mut goes, start) {
            continue;
        }
        let own = field.get(start);
        let mut part = ClassPart { nodes: Vec::new(), around: Vec::new() };
        let mut queue = vec![start];
        while let Some(node) = queue.pop() {
            part.nodes.push(node);
            for other in neighbours(node, columns, field.len()) {
                let class = field.get(other).copied().unwrap_or(OUTSIDE);
                if Some(&class) == own && take(&mut goes, other) {
                    queue.push(other);
                } else if Some(&class) != own
                    && class != OUTSIDE
                    && stays.get(other).copied().unwrap_or(false)
                {
                    part.around.push(class);
                }
            }
        }
        parts.push(part);
    }
    parts
}

/// Whether a flag was set; it is not any more.
fn take(flags: &mut [bool], index: usize) -> bool {
    flags.get_mut(index).is_some_and(std::mem::take)
}

/// The nodes beside a node, along the mesh's edges: rows, columns, and the one diagonal.
fn neighbours(node: usize, columns: usize, count: usize) -> impl Iterator<Item = usize> {
    let steps = [1, columns, columns + 1];
    steps
        .into_iter()
        .flat_map(move |step| [node.checked_add(step), node.checked_sub(step)])
        .flatten()
        .filter(move |other| *other < count)
}
