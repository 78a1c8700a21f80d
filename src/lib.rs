//! Gypsum prescription maps: a field boundary and a CEC soil test in, rate zones and tons out.

pub mod spreader;
pub mod units;
