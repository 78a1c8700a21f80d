//! The gate is set by hand once for a field, the belt follows the controller: which opening lets the
//! belt stay within its range at every tier and every ground speed.

mod alternatives;
mod limits;
mod solution;
mod table;
mod tier;

pub use alternatives::{Alternatives, HalfRates, TwoOpenings, Windows};
pub use limits::Limits;
pub use solution::{BeltBreak, MARGIN, NoOpening, Recommendation, Solution, solve};
pub use table::{BeltState, FlowRow, rows};
pub use tier::{GateTier, GateTierError, check, read_rates, read_totals};
