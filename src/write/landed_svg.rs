use super::{FormatError, OutputFile};
use crate::landing::OnGround;
use crate::plan::Plan;
use crate::report::landed_svg;

/// The file's name.
pub const NAME: &str = "landed.svg";

/// Where what lands is off its rate, as a picture.
///
/// # Errors
/// When a position of the plan has no place on the map.
pub fn file(plan: &Plan, landed: OnGround<'_>) -> Result<OutputFile, FormatError> {
    let fault =
        |error: crate::report::ReportError| FormatError { file: NAME, reason: error.to_string() };
    Ok(OutputFile::new(NAME, landed_svg(plan, landed).map_err(fault)?))
}
