use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Items by a key, the least first; of equal keys the earlier.
#[derive(Debug)]
pub struct Queue<T> {
    heap: BinaryHeap<Entry<T>>,
    count: usize,
}

#[derive(Debug)]
struct Entry<T> {
    key: f64,
    number: usize,
    item: T,
}

impl<T> Queue<T> {
    /// An empty one.
    pub fn new() -> Self {
        Self { heap: BinaryHeap::new(), count: 0 }
    }

    /// Adds an item.
    pub fn push(&mut self, key: f64, item: T) {
        self.heap.push(Entry { key, number: self.count, item });
        self.count += 1;
    }

    /// The least key and its item.
    pub fn peek(&self) -> Option<(f64, &T)> {
        self.heap.peek().map(|entry| (entry.key, &entry.item))
    }

    /// Takes the item of the least key out.
    pub fn pop(&mut self) -> Option<(f64, T)> {
        self.heap.pop().map(|entry| (entry.key, entry.item))
    }
}

impl<T> Ord for Entry<T> {
    /// The heap has its greatest on top: the least key is the greatest entry.
    fn cmp(&self, other: &Self) -> Ordering {
        other.key.total_cmp(&self.key).then(other.number.cmp(&self.number))
    }
}

impl<T> PartialOrd for Entry<T> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<T> PartialEq for Entry<T> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl<T> Eq for Entry<T> {}
