use crate::landing::Landing;
use crate::plan::Plan;
use crate::report::ReportError;
use crate::report::landing::{driven, for_the_sheet};
use crate::report::map::{landed_colors, small_landed_map};

/// What lands of the plan.
pub struct Landed {
    /// Where it is off its rate (SVG).
    pub picture: String,
    /// What its colors are: words and fills.
    pub colors: Vec<(&'static str, String)>,
    pub driven: String,
    pub lines: Vec<String>,
}

impl Landed {
    pub fn new(plan: &Plan, landing: &Landing) -> Result<Self, ReportError> {
        let picture = small_landed_map(plan, landing.on_ground())?;
        let (driven, lines) = (driven(plan, landing), for_the_sheet(plan, landing));
        Ok(Self { picture, colors: landed_colors().collect(), driven, lines })
    }
}
