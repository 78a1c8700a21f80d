use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{InUnits, TonsHigh, TonsLow, TonsOver, TonsPlanned, TonsShort};

/// How sure the tiers are, and what the field would take if every acre got the rate its soil calls
/// for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Certainty {
    /// How large the surface's errors are.
    pub errors: ErrorModel,
    /// The low end (4 in 5).
    #[serde(flatten)]
    pub low: InUnits<TonsLow>,
    /// What the map takes.
    #[serde(flatten)]
    pub planned: InUnits<TonsPlanned>,
    /// The high end (4 in 5).
    #[serde(flatten)]
    pub high: InUnits<TonsHigh>,
    /// Zone by zone.
    pub zones: Vec<ZoneCertainty>,
}

/// How the surface's errors are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ErrorModel {
    /// By the samples around each place.
    Local,
    /// The same everywhere.
    Constant,
}

/// How sure a zone is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ZoneCertainty {
    /// The zone's number.
    pub zone: usize,
    /// How much of it is clearly in its rate (4 in 5 or surer), percent.
    pub sure_percent: f64,
    /// What is expected short.
    #[serde(flatten)]
    pub short: InUnits<TonsShort>,
    /// What is expected over.
    #[serde(flatten)]
    pub over: InUnits<TonsOver>,
}
