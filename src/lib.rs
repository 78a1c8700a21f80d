//! Gypsum prescription maps: a field boundary and a CEC soil test in, rate zones and tons out.

pub mod field;
pub mod projection;
pub mod read;
pub mod soil;
pub mod units;
