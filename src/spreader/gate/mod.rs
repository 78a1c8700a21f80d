//! The gate is set by hand once for a field, the belt follows the controller: which opening lets the
//! belt stay within its range at every tier and every ground speed.

mod alternatives;
mod limits;
mod recommendation;
mod solution;
mod table;
mod tier;

pub use alternatives::{Alternatives, HalfRates, TwoOpenings, Windows};
pub use limits::Limits;
pub use recommendation::{MARGIN, Recommendation};
pub use solution::{BeltBreak, NoOpening, Solution, solve};
pub use table::{BeltState, FlowRow, rows};
pub use tier::{GateTier, GateTierError, check, read_rates, read_totals};
