use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the soil test says beside the CEC.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Soil {
    /// Sample by sample.
    pub samples: Vec<SoilSample>,
    /// The mean saturation of the CEC, percent; null without cations.
    pub mean_saturation_percent: Option<Saturation>,
    /// The mean exchangeable sodium, percent of the CEC; null without sodium.
    pub esp_mean_percent: Option<f64>,
    /// When a sample's magnesium is said to be at risk.
    pub magnesium_caution: MagnesiumCaution,
    /// The exchangeable sodium above which a sample is sodic, percent of the CEC.
    pub sodic_over_esp_percent: f64,
    /// The layer that a sodic soil is reclaimed in.
    pub sodic_layer: SodicLayer,
}

/// One sample's test.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SoilSample {
    /// Its name.
    pub sample: String,
    /// Its CEC, meq/100 g.
    pub cec: f64,
    /// The bases, percent of the CEC; null without cations.
    pub saturation_percent: Option<Saturation>,
    /// The exchangeable sodium, percent of the CEC; null without sodium.
    pub esp_percent: Option<f64>,
    /// What would reclaim it, for information; null where it is not sodic.
    pub sodic_requirement: Option<SodicRequirement>,
    /// Whether gypsum may leave it short of magnesium.
    pub magnesium_at_risk: bool,
}

/// The bases, percent of the CEC.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Saturation {
    /// Calcium.
    pub ca: f64,
    /// Magnesium.
    pub mg: f64,
    /// Potassium.
    pub k: f64,
    /// Sodium; null where it was not measured.
    pub na: Option<f64>,
    /// All of them.
    pub bases: f64,
}

/// What would reclaim a sodic sample: for information; no rate changed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SodicRequirement {
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
    /// The unit of both.
    pub rate_unit: String,
    /// What it is a rate of.
    pub of: String,
}

/// When magnesium is said to be at risk, and who says so.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MagnesiumCaution {
    /// The CEC under which it is looked at, meq/100 g.
    pub cec_under: f64,
    /// Where that is from.
    pub cec_source: String,
    /// The least magnesium, percent of calcium, magnesium and potassium.
    pub least_percent_of_ca_mg_k: f64,
    /// Where that is from.
    pub least_source: String,
}

/// The layer that a sodic soil is reclaimed in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SodicLayer {
    /// How deep it is.
    pub depth: f64,
    /// The unit of `depth`.
    pub depth_unit: String,
    /// Its bulk density.
    pub bulk_density: f64,
    /// The unit of `bulk_density`.
    pub bulk_density_unit: String,
    /// The exchangeable sodium that is to be left, percent of the CEC.
    pub target_esp_percent: f64,
    /// How the requirement is reckoned.
    pub formula: String,
}
