use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Acres, Amount, InUnits};

/// What the clean-up of small and narrow zones was asked for and what it moved.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CleanUp {
    /// The smallest zone, in acres or hectares.
    pub min_zone: f64,
    /// The narrowest zone, in feet or meters.
    pub min_width: f64,
    /// How far a border line may move when it is smoothed, in feet or meters.
    pub tolerance: f64,
    /// How many zones there were before it.
    pub zones_before: usize,
    /// How many there are after it.
    pub zones_after: usize,
    /// The islands that joined the tier around them, which is more probable there; none where the job
    /// keeps islands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub islands: Option<Islands>,
    /// By how much each tier's area and tons changed.
    pub moved: Vec<Moved>,
}

/// Islands that joined the tier around them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Islands {
    /// How many.
    pub count: usize,
    /// Their area.
    #[serde(flatten)]
    pub area: InUnits<Acres>,
}

/// What a tier gained, or lost where it is below zero.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Moved {
    /// The tier's number.
    pub tier: usize,
    /// The area, and what is spread there.
    #[serde(flatten)]
    pub amount: Amount,
}
