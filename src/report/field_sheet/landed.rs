use crate::landing::Landing;
use crate::plan::Plan;
use crate::report::ReportError;
use crate::report::landing::{CAUTION, driven, findings};
use crate::report::map::landed_on_a_page;

/// What lands of the plan.
pub struct Landed {
    /// Where it is off its rate (SVG).
    pub picture: String,
    pub caption: String,
    pub lines: Vec<String>,
}

impl Landed {
    pub fn new(plan: &Plan, landing: &Landing) -> Result<Self, ReportError> {
        let mut lines = findings(plan, landing);
        lines.push(CAUTION.to_owned());
        let picture = landed_on_a_page(plan, landing)?;
        Ok(Self { picture, caption: driven(plan, landing), lines })
    }
}
