use super::{LandedCells, LandingGround, Ledger};

/// What landed, with the ground that it landed on.
#[derive(Clone, Copy, Debug)]
pub struct OnGround<'a> {
    /// The ground.
    pub ground: &'a LandingGround,
    /// What landed.
    pub cells: &'a LandedCells,
}

impl<'a> OnGround<'a> {
    /// Which zone or keep-out each cell belongs to.
    #[must_use]
    pub fn ledger(&self) -> Ledger<'a> {
        Ledger::new(self.ground, self.cells)
    }
}
