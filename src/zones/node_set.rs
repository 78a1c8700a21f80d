//! Sets of a lattice's nodes.

use std::iter::zip;

/// Nodes in a word.
const WORD: usize = u64::BITS as usize;

/// A set of the nodes of a row-major lattice: a bit for each, whole words for each row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NodeSet {
    columns: usize,
    /// Words in a row.
    width: usize,
    words: Vec<u64>,
}

impl NodeSet {
    /// The nodes whose value passes, of values row by row.
    pub fn of<T: Copy>(values: &[T], columns: usize, passes: impl Fn(T) -> bool) -> Self {
        let columns = columns.max(1);
        let word = |values: &[T]| {
            let bits = values.iter().enumerate().map(|(i, value)| u64::from(passes(*value)) << i);
            bits.fold(0, |word, bit| word | bit)
        };
        let rows = values.chunks(columns);
        let words = rows.flat_map(|row| row.chunks(WORD).map(word)).collect();
        Self { columns, width: columns.div_ceil(WORD), words }
    }

    /// No node of the lattice of another set.
    fn empty_like(other: &Self) -> Self {
        Self { words: vec![0; other.words.len()], ..*other }
    }

    pub fn is_empty(&self) -> bool {
        self.words.iter().all(|word| *word == 0)
    }

    pub fn has(&self, node: usize) -> bool {
        let (row, column) = (node / self.columns, node % self.columns);
        let word = self.words.get(row * self.width + column / WORD);
        word.is_some_and(|word| word >> (column % WORD) & 1 == 1)
    }

    /// Whether each node is in it, row by row.
    pub fn flags(&self) -> Vec<bool> {
        let mut flags = vec![false; self.words.len() / self.width * self.columns];
        let rows = zip(flags.chunks_mut(self.columns), self.words.chunks(self.width));
        for (flags, word) in rows.flat_map(|(flags, words)| zip(flags.chunks_mut(WORD), words)) {
            flags.iter_mut().enumerate().for_each(|(i, flag)| *flag = word >> i & 1 == 1);
        }
        flags
    }

    /// The nodes that are in both.
    pub fn and(&self, other: &Self) -> Self {
        self.with(other, |own, other| own & other)
    }

    /// The nodes that are in either.
    pub fn or(&self, other: &Self) -> Self {
        self.with(other, |own, other| own | other)
    }

    /// The nodes that are not in the other.
    pub fn minus(&self, other: &Self) -> Self {
        self.with(other, |own, other| own & !other)
    }

    fn with(&self, other: &Self, both: impl Fn(u64, u64) -> u64) -> Self {
        let words = zip(&self.words, &other.words).map(|(own, other)| both(*own, *other));
        Self { words: words.collect(), ..*self }
    }

    /// The nodes within a distance, in steps, of one in the set: its dilation by a disc.
    pub fn dilated(&self, radius: f64) -> Self {
        let mut whole = Self::empty_like(self);
        let half_widths = half_widths(radius, self.columns.max(self.words.len()));
        let rows = self.words.len() / self.width;
        for (row, words) in self.words.chunks(self.width).enumerate() {
            if words.iter().all(|word| *word == 0) {
                continue;
            }
            let (mut wide, mut by) = (words.to_vec(), 0);
            for (away, half_width) in half_widths.iter().enumerate().rev() {
                while by < *half_width {
                    widen(&mut wide, self.columns);
                    by += 1;
                }
                let above = row.checked_sub(away);
                let below = Some(row + away).filter(|below| away > 0 && *below < rows);
                for target in [above, below].into_iter().flatten() {
                    let slots = whole.words.iter_mut().skip(target * self.width);
                    zip(slots, &wide).for_each(|(slot, word)| *slot |= word);
                }
            }
        }
        whole
    }
}

/// How far a disc reaches along a row so many rows from its centre, from no row on, and no farther
/// than `most`.
fn half_widths(radius: f64, most: usize) -> Vec<usize> {
    let within = |row: usize, column: usize| {
        (row as f64).powi(2) + (column as f64).powi(2) <= radius * radius
    };
    let rows = (0..=most).take_while(|row| within(*row, 0));
    rows.map(|row| (1..=most).take_while(|column| within(row, *column)).count()).collect()
}

/// Adds to a row the nodes beside those that are in it.
fn widen(row: &mut [u64], columns: usize) {
    let mut before = 0;
    let mut words = row.iter_mut().peekable();
    while let Some(word) = words.next() {
        let own = *word;
        let after = words.peek().map_or(0, |next| **next << (WORD - 1));
        *word = own | own << 1 | own >> 1 | before | after;
        before = own >> (WORD - 1);
    }
    let beyond = columns % WORD;
    if let Some(last) = row.last_mut().filter(|_| beyond > 0) {
        *last &= (1 << beyond) - 1;
    }
}

#[cfg(test)]
mod tests {
    use super::super::nearest_marked::nearest_marked;
    use super::*;

    /// Against exact distances, on rows shorter and longer than a word, and just as long.
    #[test]
    fn dilation_takes_what_is_within_the_distance() {
        for columns in [1, 5, 63, 64, 65, 128, 150] {
            for every in [7, 61, 397] {
                let marked: Vec<bool> = (0..columns * 40).map(|node| node % every == 3).collect();
                let set = NodeSet::of(&marked, columns, |marked| marked);
                assert_eq!(set.flags(), marked);
                let squared =
                    nearest_marked(&marked, columns).into_iter().enumerate().map(|(a, b)| {
                        let away = |a: usize, b: usize| (a as f64 - b as f64).powi(2);
                        away(a % columns, b % columns) + away(a / columns, b / columns)
                    });
                let squared: Vec<f64> = squared.collect();
                for radius in [0.0, 0.9, 1.0, 2.5, 5.0, 30.0] {
                    let near: Vec<bool> =
                        squared.iter().map(|squared| *squared <= radius * radius).collect();
                    let dilated = set.dilated(radius);
                    assert_eq!(dilated.flags(), near, "{columns} {every} {radius}");
                    assert!((0..near.len()).all(|node| dilated.has(node) == near[node]));
                }
            }
        }
    }

    #[test]
    fn sets_are_joined_and_taken_apart() {
        let nodes: Vec<usize> = (0..200).collect();
        let [twos, threes] = [2, 3].map(|of| NodeSet::of(&nodes, 20, |node| node % of == 0));
        let is = |set: NodeSet, passes: fn(usize) -> bool| {
            assert_eq!(set.flags(), (0..200).map(passes).collect::<Vec<bool>>());
        };
        is(twos.and(&threes), |node| node % 6 == 0);
        is(twos.or(&threes), |node| node % 2 == 0 || node % 3 == 0);
        is(twos.minus(&threes), |node| node % 2 == 0 && node % 3 != 0);
        assert!(twos.minus(&twos).is_empty() && !twos.is_empty());
    }
}
