//! Sets of a lattice's nodes.

use std::collections::BTreeMap;
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
    /// For each of the values that nodes have, row by row, the nodes with it.
    pub fn by_value<T: Copy + Ord>(values: &[T], columns: usize) -> BTreeMap<T, Self> {
        let columns = columns.max(1);
        let width = columns.div_ceil(WORD);
        let rows = values.len().div_ceil(columns);
        let mut sets = BTreeMap::new();
        for (row, values) in values.chunks(columns).enumerate() {
            let mut column = 0;
            for run in values.chunk_by(|one, other| one == other) {
                let Some(value) = run.first() else { continue };
                let none = || Self { columns, width, words: vec![0; rows * width] };
                let set = sets.entry(*value).or_insert_with(none);
                set.fill(row, column, column + run.len());
                column += run.len();
            }
        }
        sets
    }

    /// Adds the nodes of a row from a column up to another.
    fn fill(&mut self, row: usize, from: usize, to: usize) {
        let words = self.words.iter_mut().enumerate().skip(row * self.width);
        for (number, word) in words.take(to.div_ceil(WORD)).skip(from / WORD) {
            let start = (number - row * self.width) * WORD;
            let below = |column: usize| match column.saturating_sub(start) {
                all if all >= WORD => u64::MAX,
                some => (1 << some) - 1,
            };
            *word |= below(to) & !below(from);
        }
    }

    /// No node of the lattice of another set.
    pub fn empty_like(other: &Self) -> Self {
        Self { words: vec![0; other.words.len()], ..*other }
    }

    /// Its nodes, in order.
    pub fn nodes(&self) -> impl Iterator<Item = usize> {
        self.words.iter().enumerate().flat_map(|(number, word)| {
            let start = number / self.width * self.columns + number % self.width * WORD;
            let rest = std::iter::successors(Some(*word), |word| Some(word & word.wrapping_sub(1)));
            rest.take_while(|word| *word != 0)
                .map(move |word| start + word.trailing_zeros() as usize)
        })
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

/// How far a disc reaches along a row so many rows from its center, from no row on, and no farther
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
    use super::super::nearest_marked::NearestMarked;
    use super::*;

    /// Against exact distances, on rows shorter and longer than a word, and just as long.
    #[test]
    fn dilation_takes_what_is_within_the_distance() {
        for columns in [1, 5, 63, 64, 65, 128, 150] {
            for every in [7, 61, 397] {
                let marked: Vec<bool> = (0..columns * 40).map(|node| node % every == 3).collect();
                let set = NodeSet::by_value(&marked, columns).remove(&true).unwrap();
                assert_eq!(set.flags(), marked);
                let numbers: Vec<usize> = (0..marked.len()).filter(|node| marked[*node]).collect();
                assert_eq!(set.nodes().collect::<Vec<usize>>(), numbers);
                let mut nearest = NearestMarked::new(&marked, columns);
                let squared = |a: usize| {
                    let b = nearest.to(a);
                    let away = |a: usize, b: usize| (a as f64 - b as f64).powi(2);
                    away(a % columns, b % columns) + away(a / columns, b / columns)
                };
                let squared: Vec<f64> = (0..marked.len()).map(squared).collect();
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
        let [twos, threes] = [2, 3].map(|of| {
            let rests: Vec<usize> = (0..200).map(|node| node % of).collect();
            NodeSet::by_value(&rests, 20).remove(&0).unwrap()
        });
        let is = |set: NodeSet, passes: fn(usize) -> bool| {
            assert_eq!(set.flags(), (0..200).map(passes).collect::<Vec<bool>>());
        };
        is(twos.and(&threes), |node| node % 6 == 0);
        is(twos.or(&threes), |node| node % 2 == 0 || node % 3 == 0);
        is(twos.minus(&threes), |node| node % 2 == 0 && node % 3 != 0);
        assert!(twos.minus(&twos).is_empty() && !twos.is_empty());
    }
}
