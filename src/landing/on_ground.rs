use super::{Cells, Ground, Ledger};

/// What landed, with the ground that it landed on.
#[derive(Clone, Copy, Debug)]
pub struct OnGround<'a> {
    /// The ground.
    pub ground: &'a Ground,
    /// What landed.
    pub cells: &'a Cells,
}

impl<'a> OnGround<'a> {
    /// Which zone or keep-out each cell belongs to.
    #[must_use]
    pub fn ledger(&self) -> Ledger<'a> {
        Ledger::new(self.ground, self.cells)
    }
}
