//! Pictures of a catch-pan test, as SVG and PNG. Lines differ by dash and mark as well as by
//! color (those of Okabe and Ito's palette for color-blind readers), so that they can be told
//! apart in black and white.

mod axes;
mod cv;
mod pattern;
#[cfg(test)]
mod tests;
mod worth;

pub use cv::cv_against_swath;
pub use pattern::{side_by_side, single_pass, single_pass_inset};
pub use worth::worth_chart;
