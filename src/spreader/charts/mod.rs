//! Pictures of a catch-pan test, as SVG and PNG. Lines differ by dash and mark as well as by
//! color (those of Okabe and Ito's palette for color-blind readers), so that they can be told
//! apart in black and white.

mod axes;
mod cv;
mod letters;
mod pattern;
mod png;
#[cfg(test)]
mod tests;

pub use cv::cv_against_swath;
pub use letters::{BOLD, FAMILY, Letters, REGULAR};
pub use pattern::{side_by_side, single_pass, single_pass_inset};
pub use png::png;

/// Why a picture could not be drawn.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("chart: {0}")]
pub struct ChartError(String);

impl ChartError {
    fn new(reason: impl std::fmt::Display) -> Self {
        Self(reason.to_string())
    }
}
