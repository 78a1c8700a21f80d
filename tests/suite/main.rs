//! Tests from outside the crate.

mod properties;
mod reference;
