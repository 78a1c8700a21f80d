//! Checks of the whole, by kind.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a test that fails may panic; the reference checks print how close they are"
)]

mod architecture;
mod cli;
mod farm;
mod farm_order;
mod farm_sheet;
mod folder;
mod formats;
mod golden;
mod inspecting;
mod mutations;
mod ordering;
mod piles;
mod planned;
mod properties;
mod reconcile;
mod reconcile_faults;
mod reference;
mod sheet;
mod sheet_spreading;
mod spreading;
mod stages;
