//! Tests from outside the crate.

mod reference;
