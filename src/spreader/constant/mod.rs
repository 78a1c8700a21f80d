//! The controller's constant, from weigh tests, and the log that the next job picks up.

mod estimate;
mod log;
mod outliers;
mod scatter;
mod student;
mod weigh_test;

pub use estimate::{Estimate, Interval, Overfilled, estimate};
pub use log::WeighTestLog;
pub use scatter::Scatter;
pub use student::{two_sided_80, two_sided_95};
pub use weigh_test::{LogError, WeighTest};
