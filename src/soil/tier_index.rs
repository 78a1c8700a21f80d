/// Which of a job's tiers: a type of its own, so that no zone's number and no keep-out's is taken for
/// it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TierIndex(usize);

impl TierIndex {
    /// The tier of an index, from 0 for the lowest.
    #[must_use]
    pub const fn of(index: usize) -> Self {
        Self(index)
    }

    /// From 0, as lists have it.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }

    /// From 1, as people and files count.
    #[must_use]
    pub const fn number(self) -> usize {
        self.0 + 1
    }
}
