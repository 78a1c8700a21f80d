//! Classes of ground, as the mesh and the pieces have them: the tiers by their index, and numbers that
//! are no tier.

use crate::soil::TierIndex;

/// The class of the first area apart's pieces; the others' follow. What takes its rate from the surface
/// is under it.
pub const APART: u32 = 1 << 16;

/// The class of a node outside the field, or in an area apart: none.
pub const OUTSIDE: u32 = u32::MAX;

/// What a class of pieces stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClassOfGround {
    /// A tier, which the surface decides.
    Tier(TierIndex),
    /// One of the areas apart, from 0, whatever the surface is there: what is kept out, and what has a
    /// rate of its own.
    Apart(usize),
}

impl ClassOfGround {
    /// What a class stands for.
    #[must_use]
    pub fn of(class: u32) -> Self {
        match class.checked_sub(APART) {
            None => Self::Tier(TierIndex::of(class as usize)),
            Some(number) => Self::Apart(number as usize),
        }
    }

    /// Whether the surface decides what goes there.
    #[must_use]
    pub fn by_surface(self) -> bool {
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
    fn areas_apart_come_after_all_tiers() {
        assert_eq!(ClassOfGround::of(2), ClassOfGround::Tier(TierIndex::of(2)));
        assert_eq!(ClassOfGround::of(APART + 2), ClassOfGround::Apart(2));
        assert!(ClassOfGround::of(APART - 1).by_surface());
        assert!(!ClassOfGround::of(APART).by_surface());
    }

    #[test]
    #[cfg(debug_assertions)]
    #[should_panic(expected = "number 3 of 3 classes")]
    fn a_number_of_none_is_no_lowest_tier() {
        class_at(&[0, 1, 2], 3);
    }
}
