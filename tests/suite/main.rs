//! The checks that need more than one room of the library.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "tests stop at the first surprise and print the figures they checked"
)]

mod reference;
