use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{
    Acres, Amount, Cost, FlatRateTons, InUnits, OneTruckLess, SchemaNumber, Tons, TonsDelivered,
    TonsHigh, TonsLow, TonsOrdered, TonsOrderedHigh, TonsOrderedLow, TonsPerDelivery,
};
use crate::units::System;

/// The content of `farm.json`: a farm's fields and what they come to together.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FarmFile {
    /// The number of this form.
    pub schema: SchemaNumber,
    /// What the farm is called.
    pub farm: String,
    /// The units of all figures, and of the keys that name a unit: tons are short tons of 2,000 lb.
    pub units: System,
    /// What is spread on the whole farm.
    pub total: FarmTotal,
    /// The tiers of all fields, those of the same label and rate together.
    pub tiers: Vec<FarmTier>,
    /// The order for all fields; null where none has one.
    pub order: Option<FarmOrder>,
    /// The fields that were planned.
    pub fields: Vec<FarmField>,
    /// The fields that were not, and why.
    pub failures: Vec<Failure>,
    /// Fields and samples that do not meet, where the fields are in one file.
    #[serde(default)]
    pub unmet: Unmet,
    /// What goes for every map.
    pub cautions: Vec<String>,
}

/// Fields and samples that do not meet, of a farm whose fields are in one file and whose samples in
/// another.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Unmet {
    /// Fields that no sample is of: they are not planned.
    pub fields: Vec<String>,
    /// Samples that are of no field, and why.
    pub samples: Vec<String>,
    /// What was decided on the way.
    pub notes: Vec<String>,
}

/// What is spread on the whole farm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FarmTotal {
    /// How many fields.
    pub fields: usize,
    /// What is spread on them.
    #[serde(flatten)]
    pub spread: Spread,
}

/// What is spread, and what would be.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Spread {
    /// The area.
    #[serde(flatten)]
    pub area: InUnits<Acres>,
    /// What the map takes.
    #[serde(flatten)]
    pub mass: InUnits<Tons>,
    /// The low end (4 in 5); null where it is not known.
    #[serde(flatten)]
    pub low: InUnits<TonsLow, Option<f64>>,
    /// The high end (4 in 5); null where it is not known.
    #[serde(flatten)]
    pub high: InUnits<TonsHigh, Option<f64>>,
    /// What one rate for each whole field would take.
    #[serde(flatten)]
    pub flat: InUnits<FlatRateTons>,
}

/// A rate step by CEC.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FarmTier {
    /// What the maps call it.
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
}

/// A field that was planned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FarmField {
    /// What the job is called.
    pub job: String,
    /// The job file, as the farm file names it.
    pub file: String,
    /// What is spread on it.
    #[serde(flatten)]
    pub spread: Spread,
    /// How many zones it has.
    pub zones: usize,
    /// How many warnings it came with: they are in its own `totals.json`.
    pub warnings: usize,
    /// What must be settled before it is spread: its gravest warnings.
    #[serde(default)]
    pub stops: Vec<String>,
    /// Its tiers.
    pub tiers: Vec<FarmTier>,
    /// Its order; null where it has none.
    pub order: Option<FieldOrder>,
}

/// A field's order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FieldOrder {
    /// What is ordered.
    #[serde(flatten)]
    pub ordered: InUnits<TonsOrdered>,
    /// The low end.
    #[serde(flatten)]
    pub low: InUnits<TonsOrderedLow, Option<f64>>,
    /// The high end.
    #[serde(flatten)]
    pub high: InUnits<TonsOrderedHigh, Option<f64>>,
    /// A road truck's payload.
    #[serde(flatten)]
    pub per_delivery: InUnits<TonsPerDelivery, Option<f64>>,
    /// How many trucks bring it; null where no payload is set.
    pub trucks: Option<usize>,
    /// How many times the hopper is filled; null without a spreader.
    pub loads: Option<usize>,
    /// The spreader's least hours; null without a spreader.
    pub hours_least: Option<f64>,
    /// The spreader's most hours; null without a spreader.
    pub hours_most: Option<f64>,
    /// The money; null without prices.
    pub money: Option<FieldCosts>,
}

/// What it costs, in whatever money the prices are.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FieldCosts {
    /// The map.
    pub variable: Cost,
    /// One rate for each whole field.
    pub flat: Cost,
    /// By how much the map costs more.
    pub variable_over_flat: f64,
}

/// The order for all fields that have one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FarmOrder {
    /// How many fields have one.
    pub fields: usize,
    /// What is ordered.
    #[serde(flatten)]
    pub ordered: InUnits<TonsOrdered>,
    /// The low end.
    #[serde(flatten)]
    pub low: InUnits<TonsOrderedLow, Option<f64>>,
    /// The high end.
    #[serde(flatten)]
    pub high: InUnits<TonsOrderedHigh, Option<f64>>,
    /// The trucks; null where no field sets a payload.
    pub deliveries: Option<FarmDeliveries>,
    /// The spreader's work; null without a spreader.
    pub spreading: Option<FarmSpreading>,
    /// The money; null without prices.
    pub money: Option<FarmCosts>,
}

/// The trucks of all fields together.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FarmDeliveries {
    /// How many fields set a payload.
    pub fields: usize,
    /// A road truck's payload.
    #[serde(flatten)]
    pub per_delivery: InUnits<TonsPerDelivery, Option<f64>>,
    /// How many trucks bring the order for all fields together.
    pub count: usize,
    /// What they bring.
    #[serde(flatten)]
    pub delivered: InUnits<TonsDelivered>,
    /// How many it were if each field were ordered by itself.
    pub count_by_field: usize,
    /// What one truck less than bring all that is ordered would leave; null where no one payload is set.
    pub one_truck_less: Option<OneTruckLess>,
}

/// The spreader's work on all fields.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FarmSpreading {
    /// How many fields have a spreader.
    pub fields: usize,
    /// How many times the hopper is filled.
    pub loads: usize,
    /// The least hours.
    pub hours_least: f64,
    /// The most hours.
    pub hours_most: f64,
}

/// What all fields cost.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FarmCosts {
    /// The money.
    #[serde(flatten)]
    pub costs: FieldCosts,
    /// How many fields have prices.
    pub fields: usize,
}

/// A field that was not planned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Failure {
    /// The job file, as the farm file names it.
    pub file: String,
    /// Why.
    pub error: String,
}
