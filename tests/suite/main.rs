//! Checks of the whole, by kind.

mod architecture;
mod properties;
mod reference;
