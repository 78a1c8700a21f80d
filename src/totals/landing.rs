use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Acres, InUnits, TonsLanded, TonsOver, TonsPlanned, TonsShort};

/// What lands of the plan, by simulation: the zones smeared by the spreader's pattern, its delay and
/// its belt.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Landing {
    /// How the passes run, degrees clockwise from north, under 180.
    pub heading_degrees: f64,
    /// How often the spreader goes round the field before the passes.
    pub headland_rounds: usize,
    /// The ground speed.
    pub ground_speed: f64,
    /// The unit of it.
    pub ground_speed_unit: String,
    /// The distance between two passes.
    pub swath: f64,
    /// The side of the cells.
    pub cell: f64,
    /// The unit of lengths.
    pub length_unit: String,
    /// Whether the pattern is that of a pan test; else an even triangle is assumed.
    pub pattern_measured: bool,
    /// The controller's look-ahead, seconds.
    pub look_ahead_s: f64,
    /// The look-ahead that misplaces least, seconds.
    pub best_look_ahead_s: Option<f64>,
    /// What lands.
    #[serde(flatten)]
    pub landed: Landed,
}

/// What landed by the machines' logs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Logged {
    /// How many logs had something spread on the field.
    pub logs: usize,
    /// What the mass in them is known by: `rate`, `flow`, `totals` or `set`.
    pub known_by: Vec<String>,
    /// The side of the cells.
    pub cell: f64,
    /// The unit of lengths.
    pub length_unit: String,
    /// Whether the pattern is that of a pan test; else an even triangle is assumed.
    pub pattern_measured: bool,
    /// What landed.
    #[serde(flatten)]
    pub landed: Landed,
    /// What the same way comes to where the machine follows the map as its file says.
    pub by_map: LandedApart,
    /// What is to be known of the logs.
    pub warnings: Vec<String>,
}

/// What is missing and what is too much.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LandedApart {
    /// What is missing, wherever too little lands.
    #[serde(flatten)]
    pub short: InUnits<TonsShort>,
    /// What is too much, wherever too much lands.
    #[serde(flatten)]
    pub over: InUnits<TonsOver>,
}

/// What lands, held against the zones.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Landed {
    /// By zone.
    pub zones: Vec<LandedZone>,
    /// Share of the spread ground that gets within 10 % of its rate, percent.
    pub within_10_percent: f64,
    /// Share of it that gets less, percent.
    pub too_little_percent: f64,
    /// Share of it that gets more, percent.
    pub too_much_percent: f64,
    /// What is missing, wherever too little lands.
    #[serde(flatten)]
    pub short: InUnits<TonsShort>,
    /// What is too much, wherever too much lands: outside the field and on keep-outs too.
    #[serde(flatten)]
    pub over: InUnits<TonsOver>,
    /// What lands outside the field.
    pub outside: LandedMass,
    /// What lands where nothing may, by keep-out.
    pub kept_out: Vec<LandedKeptOut>,
}

/// What lands in a zone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LandedZone {
    /// Its number.
    pub zone: usize,
    /// The area of its cells.
    #[serde(flatten)]
    pub area: InUnits<Acres>,
    /// What its cells should get.
    #[serde(flatten)]
    pub planned: InUnits<TonsPlanned>,
    /// What lands in it.
    #[serde(flatten)]
    pub landed: InUnits<TonsLanded>,
    /// How uneven it lands: coefficient of variation, percent.
    pub cv_percent: f64,
    /// Share of it that gets within 10 % of its rate, percent.
    pub within_10_percent: f64,
}

/// What lands somewhere.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LandedMass {
    /// The material.
    #[serde(flatten)]
    pub landed: InUnits<TonsLanded>,
}

/// What lands on a keep-out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LandedKeptOut {
    /// What the spreader is kept from.
    pub why: String,
    /// The distance that is kept.
    pub distance: f64,
    /// The material that lands there.
    #[serde(flatten)]
    pub landed: InUnits<TonsLanded>,
    /// The highest rate on it, in the unit of rates.
    pub highest_rate: f64,
    /// The unit of it.
    pub rate_unit: String,
    /// The distance that would keep all but 20 lb/ac (22 kg/ha) off it; null where none in reach does,
    /// and where no more lands as it is.
    pub distance_needed: Option<f64>,
}
