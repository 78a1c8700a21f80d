//! Checks of the whole, by kind.

mod properties;
