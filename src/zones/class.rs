//! Classes of ground, as the mesh and the pieces have them: the tiers by their index, and numbers that
//! are no tier.

use crate::soil::TierIndex;

/// The class of the first keep-out's pieces; the others' follow. What is spread is under it.
pub const KEEP_OUT: u32 = 1 << 16;

/// The class of a node outside the field, or in a keep-out: none.
pub const OUTSIDE: u32 = u32::MAX;

/// What a class of pieces stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClassOfGround {
    /// A tier, which is spread.
    Tier(TierIndex),
    /// One of the keep-outs, from 0.
    KeepOut(usize),
}

impl ClassOfGround {
    /// What a class stands for.
    #[must_use]
    pub fn of(class: u32) -> Self {
        match class.checked_sub(KEEP_OUT) {
            None => Self::Tier(TierIndex::of(class as usize)),
            Some(number) => Self::KeepOut(number as usize),
        }
    }

    /// Whether it is spread.
    #[must_use]
    pub fn is_spread(self) -> bool {
        matches!(self, Self::Tier(_))
    }
}

/// The class of a vertex or a part, by its number. A number of none is a fault of the program, which
/// stops a debug build.
pub fn class_at(classes: &[u32], number: usize) -> u32 {
    debug_assert!(number < classes.len(), "number {number} of {} classes", classes.len());
    classes.get(number).copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keep_outs_come_after_all_tiers() {
        assert_eq!(ClassOfGround::of(2), ClassOfGround::Tier(TierIndex::of(2)));
        assert_eq!(ClassOfGround::of(KEEP_OUT + 2), ClassOfGround::KeepOut(2));
        assert!(ClassOfGround::of(KEEP_OUT - 1).is_spread());
        assert!(!ClassOfGround::of(KEEP_OUT).is_spread());
    }

    #[test]
    #[cfg(debug_assertions)]
    #[should_panic(expected = "number 3 of 3 classes")]
    fn a_number_of_none_is_no_lowest_tier() {
        class_at(&[0, 1, 2], 3);
    }
}
