//! What every summary says, briefly, wherever rates go.

/// The cautions of a plan.
pub const CAUTIONS: [&str; 5] = [
    "Rates are a starting point: have a licensed or certified adviser confirm them for this field.",
    "Follow local nutrient-management and water-protection rules; they come before this map.",
    "Ask the supplier for an analysis (calcium, sulfur, moisture, contaminants) before ordering.",
    "Gypsum dust irritates eyes and lungs: stay upwind and wear eye and dust protection.",
    "Keep clear of belt and spinners while anything turns; stop and lock out before clearing.",
];
