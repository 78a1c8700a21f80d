//! Gypsum prescription maps: a field boundary and a CEC soil test in, rate zones and tons out.

pub mod surface;
pub mod units;
