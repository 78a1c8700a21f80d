//! What really reaches the ground: the zones smeared by the spreader's pattern, late by its delay,
//! clipped by its belt, doubled at the headland.
//!
//! The machine's way is a [`Run`]; [`Release`] says how much leaves it when; [`LandedCells`] take what
//! lands, each cell its share of the pattern across the way ([`Throw`]) times what was released
//! along it. [`Landed`] holds the cells against the zones.
//!
//! [`Landing`] does all of it for a plan, and says what another look-ahead, heading or swath would do.
//!
//! The method is that of Fulton and others 2001 (Transactions of the ASAE 44(5):1095-1102): the
//! transverse pattern is laid along the path, scaled by the rate that the machine gives at that
//! moment, and all is summed on a lattice. After a change the flow follows by a delay and then a
//! ramp, of its own upwards and downwards, straight or first-order. All is integrated exactly where
//! the machine drives along the lattice's rows of cells, so that mass is kept and edges are where
//! they belong whatever the size of the cells.

mod against_zones;
mod cells;
mod deposit;
mod ground;
mod landed_plan;
mod line_crossings;
mod logged;
mod on_ground;
mod prescription;
mod release;
mod response;
mod runs;
mod scene;
mod search;
#[cfg(test)]
mod tests;
mod throw;
mod track;
mod turned_plane;
mod wider_keep_out;

use landed_plan::cells_of;

pub use against_zones::{KeptOut, Landed, Ledger, TRACE, Verdict, ZoneLanded, verdict};
pub use cells::LandedCells;
pub use ground::{LandingGround, Patch, PatchUse};
pub use landed_plan::{
    Headland, Landing, LandingError, LandingSettings, PassDirection, WiderKeepOut,
};
pub use logged::Logged;
pub use on_ground::OnGround;
pub use prescription::{Prescription, Stretch};
pub use release::Release;
pub use response::{Belt, Ramp, Response};
pub use runs::{Course, Run, SpreadPart};
pub use scene::{DrivenField, Scene, SpreaderAtWork};
pub use search::{LandingTrial, best_lead, headings, least_misplaced};
pub use throw::Throw;
pub use turned_plane::TurnedPlane;
pub use wider_keep_out::wider;
