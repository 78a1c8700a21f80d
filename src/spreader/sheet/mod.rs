//! What is printed and carried to the machine: the setup sheet, the catch-pan sheet, and two
//! catch-pan runs side by side.

mod alternatives;
mod constant;
mod flow_table;
mod pans;
mod setup;
mod side_by_side;
mod table;

pub use constant::ConstantState;
pub use flow_table::setup_table;
pub(crate) use flow_table::{belt, belt_number, belt_unit, gate};
pub(crate) use pans::{at_working_swath, rate as pan_rate, shapes};
pub use pans::{pan_sheet, pan_table, swath_table};
pub use setup::{Setup, setup_sheet};
pub use side_by_side::comparison_sheet;
pub use table::Table;
