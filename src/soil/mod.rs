//! What a soil test says beyond its numbers.

mod cations;

pub use cations::{CationUnit, Cations, Element, buffer_acidity};
