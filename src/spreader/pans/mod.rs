//! The catch-pan test: one row of pans across the driven line, weighed after the machine passed.
//!
//! The method is after ASABE S341 (Procedure for Measuring Distribution Uniformity and Calibrating
//! Granular Broadcast Spreaders): the single-pass pattern is laid over itself at the distance of the
//! swath, and the coefficient of variation of the sum says how evenly the field is covered.

#[cfg(test)]
mod bad_inputs;
mod cells;
mod compare;
mod file;
mod overlap;
mod pattern;
mod reading;
mod remedies;
mod report;
mod row;
mod settings;
mod uniformity;

pub use compare::{Comparison, compare};
pub use file::{PanError, PanTest, read};
pub use overlap::{DrivingPattern, overlap};
pub use pattern::Pattern;
pub use reading::{PatternShape, Reading, read_pattern};
pub use remedies::{pattern_remedies, rate_remedy, remedies};
pub use report::{DEFAULT_LIMIT, PanReport, SwathRow, report};
pub use uniformity::{Uniformity, uniformity};
