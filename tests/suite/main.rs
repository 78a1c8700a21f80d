//! Checks of the whole, by kind. Those that run the program need it, and the demo farm needs PROJ.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a test that fails may panic; the reference checks print how close they are"
)]

mod architecture;
#[cfg(all(feature = "cli", feature = "proj"))]
mod build_id;
#[cfg(all(feature = "cli", feature = "proj"))]
mod carried;
#[cfg(all(feature = "cli", feature = "proj"))]
mod cli;
#[cfg(all(feature = "cli", feature = "proj"))]
mod environment;
#[cfg(all(feature = "cli", feature = "proj"))]
mod farm;
#[cfg(all(feature = "cli", feature = "proj"))]
mod farm_order;
#[cfg(all(feature = "cli", feature = "proj"))]
mod farm_sheet;
#[cfg_attr(
    not(all(feature = "cli", feature = "proj")),
    expect(dead_code, reason = "of a program that is not built")
)]
mod folder;
#[cfg(all(feature = "cli", feature = "proj"))]
mod formats;
#[cfg(all(feature = "cli", feature = "proj"))]
mod golden;
#[cfg(all(unix, feature = "cli", feature = "proj"))]
mod hostile_folders;
#[cfg(all(feature = "cli", feature = "proj"))]
mod hostile_inputs;
#[cfg(all(feature = "cli", feature = "proj"))]
mod inspecting;
#[cfg(all(feature = "cli", feature = "proj"))]
mod interrupted;
#[cfg(all(feature = "cli", feature = "proj"))]
mod laboratory;
#[cfg(all(feature = "cli", feature = "proj"))]
mod landed_log;
#[cfg(all(feature = "cli", feature = "proj"))]
mod landing;
#[cfg(all(feature = "cli", feature = "proj"))]
mod many_fields;
mod mutations;
#[cfg(all(feature = "cli", feature = "proj"))]
mod ordering;
#[cfg(all(unix, feature = "page", feature = "proj"))]
mod page;
#[cfg(all(unix, feature = "page", feature = "proj"))]
mod page_client;
#[cfg(all(feature = "cli", feature = "proj"))]
mod piles;
mod planned;
mod properties;
#[cfg(all(feature = "cli", feature = "proj"))]
mod reconcile;
#[cfg(all(feature = "cli", feature = "proj"))]
mod reconcile_faults;
mod reference;
#[cfg(all(feature = "cli", feature = "proj"))]
mod reference_page;
#[cfg(all(feature = "cli", feature = "proj"))]
mod sampling;
#[cfg(all(feature = "cli", feature = "proj"))]
mod schemas;
mod set_rate;
#[cfg(all(feature = "cli", feature = "proj"))]
mod sheet;
#[cfg(all(feature = "cli", feature = "proj"))]
mod sheet_snapshots;
#[cfg(all(feature = "cli", feature = "proj"))]
mod sheet_spreading;
mod simulated;
#[cfg(all(feature = "cli", feature = "proj"))]
mod spreading;
mod stages;
#[cfg(all(feature = "cli", feature = "proj"))]
mod starting;
#[cfg(all(feature = "cli", feature = "proj"))]
mod thin_ground;
mod threads;
