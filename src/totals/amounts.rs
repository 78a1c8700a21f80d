use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Acres, InUnits, Tons};

/// An area and what is spread on it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Amount {
    /// The area.
    #[serde(flatten)]
    pub area: InUnits<Acres>,
    /// What is spread.
    #[serde(flatten)]
    pub mass: InUnits<Tons>,
}

/// A rate step by CEC.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tier {
    /// Its number, from 1.
    pub tier: usize,
    /// What the map calls it.
    pub label: String,
    /// Its rate, of material as spread.
    pub rate: f64,
    /// The unit of `rate`: `ton/ac` or `t/ha`.
    pub rate_unit: String,
    /// How many zones have it.
    pub zones: usize,
    /// Its area and what is spread there.
    #[serde(flatten)]
    pub amount: Amount,
    /// The pure gypsum in its rate; absent where the product is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_pure: Option<f64>,
    /// `true` where the job sets the rate for an area, whatever its CEC; absent otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set: Option<bool>,
}

/// A connected piece of one tier.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Zone {
    /// Its number, from 1.
    pub zone: usize,
    /// Its tier's number; 0 for ground that is not spread.
    pub tier: usize,
    /// Its tier's label, or why it is not spread.
    pub label: String,
    /// Its rate, of material as spread.
    pub rate: f64,
    /// The unit of `rate`: `ton/ac` or `t/ha`.
    pub rate_unit: String,
    /// Its area and what is spread there.
    #[serde(flatten)]
    pub amount: Amount,
    /// Its mean CEC, meq/100 g.
    pub cec_mean: f64,
}

/// One rate for the whole field: the job's, or that of its mean CEC.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FlatRate {
    /// The field's mean CEC, meq/100 g.
    pub cec_mean: f64,
    /// The tier that it falls into.
    pub tier: usize,
    /// Whether the job states the rate.
    #[serde(default)]
    pub stated: bool,
    /// The stated rate, or else that tier's, which is a step of the mean CEC.
    pub rate: f64,
    /// The rate of the map's own material, spread evenly.
    #[serde(default)]
    pub even_rate: Option<f64>,
    /// The unit of `rate`: `ton/ac` or `t/ha`.
    pub rate_unit: String,
    /// What the field would take.
    #[serde(flatten)]
    pub mass: InUnits<Tons>,
}

/// The samples that count, CEC in meq/100 g.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Samples {
    /// How many.
    pub count: usize,
    /// The lowest CEC.
    pub cec_min: f64,
    /// The mean CEC.
    pub cec_mean: f64,
    /// The highest CEC.
    pub cec_max: f64,
}

/// Ground that is not spread for one cause.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Unspread {
    /// The cause.
    pub why: String,
    /// How far it is kept from.
    pub distance: f64,
    /// The unit of `distance`.
    pub distance_unit: String,
    /// The area.
    #[serde(flatten)]
    pub area: InUnits<Acres>,
}

/// A sample that differs most from its neighbors.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SecondLook {
    /// Its name.
    pub sample: String,
    /// Its CEC, meq/100 g.
    pub cec: f64,
    /// What the others give at its place, meq/100 g.
    pub neighbors_say: f64,
    /// How much more the field takes with it than without it.
    #[serde(flatten)]
    pub mass: InUnits<Tons>,
}
