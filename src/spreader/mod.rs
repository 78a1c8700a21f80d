//! Setting the spreader: flow, gate and belt, the controller's constant, and the catch-pan test.
//!
//! The module is pure: it takes the text of files and gives values.

pub mod constant;
pub mod flow;
pub mod gate;
pub mod machine;
pub mod pans;
mod range;

pub use machine::Machine;
pub use range::Range;
