//! What every summary says, briefly, wherever rates go.

use crate::plan::Plan;

/// The cautions of a plan.
pub const CAUTIONS: [&str; 5] = [
    "Rates are a starting point: have a licensed or certified adviser confirm them for this field.",
    "Follow local nutrient-management and water-protection rules; they come before this map.",
    "Ask the supplier for an analysis (calcium, sulfur, moisture, contaminants) before ordering.",
    "Gypsum dust irritates eyes and lungs: stay upwind and wear eye and dust protection.",
    "Keep clear of belt and spinners while anything turns; stop and lock out before clearing.",
];

/// What the ends of a farm's ranges are.
pub const FARM_RANGE: &str = "low and high: if all ground got the rate its soil calls for, a field would take a mass between them (4 in 5); for the farm, the errors of one field are taken as independent of those of another.";

/// What to set in a rate controller for the ground that no zone says anything of.
const OUTSIDE_THE_ZONES: &str = "In the rate controller, set the rate outside the zones to 0 and do not hold the last rate there: beyond the field's edge and in its holes no zone stops the spreader.";

/// The same where ground that is kept out is a hole in the zones too.
const OUTSIDE_ZONES_WITH_GAPS: &str = "In the rate controller, set the rate outside the zones to 0 and do not hold the last rate there: what is kept out is left out of the zones, and a controller that does otherwise spreads it.";

/// What to heed where a pile is placed in the field (common practice, no source).
pub const PILE_CAUTIONS: [&str; 7] = [
    "Local rules govern setbacks, cover and how long a pile may lie; 200 ft is common practice only.",
    "Distances are from the edge of one cone of all its tons; heaps side by side reach farther: stake the edge out first.",
    "Clean, firm, level ground, out of the way of running water; no tile inlet, no low spot.",
    "Shape it into a peak that sheds rain, and cover it where local rules ask.",
    "No overhead power lines where trailers are raised, nor on the way there.",
    "Level, firm footing for raised trailers; nobody beside one that is up.",
    "Look at the place before the first truck: this map knows only what the job's files hold.",
];

/// What to set in a rate controller for the ground outside a plan's zones.
#[must_use]
pub fn outside_the_zones(plan: &Plan) -> &'static str {
    if plan.has_gaps() { OUTSIDE_ZONES_WITH_GAPS } else { OUTSIDE_THE_ZONES }
}
