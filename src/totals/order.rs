use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{
    InUnits, Tons, TonsDelivered, TonsFill, TonsHopper, TonsLegal, TonsLost, TonsMargin,
    TonsOrdered, TonsPerDelivery, TonsSpread,
};

/// What is ordered, trucked and loaded, and what it costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Order {
    /// What the tiers' rates are tons of.
    pub basis: Basis,
    /// What is lost of a delivery, percent.
    pub loss_percent: f64,
    /// The margin on what is spread, percent.
    pub margin_percent: f64,
    /// How the order is reckoned.
    pub formula: String,
    /// What the field takes at the low end (4 in 5), by what is known of machine and material, without
    /// margin; null where nothing is.
    pub low: Option<Need>,
    /// The order for the map.
    pub planned: Need,
    /// The same at the high end.
    pub high: Option<Need>,
    /// What these two come from.
    pub variation: Option<Variation>,
    /// A road truck's payload; null where it is not set.
    #[serde(flatten)]
    pub per_delivery: InUnits<TonsPerDelivery, Option<f64>>,
    /// The margin that is enough to do with one truck less, percent; null where trucks bring all that is
    /// ordered.
    pub least_margin_percent: Option<f64>,
    /// What one truck less than bring the order would leave; null where no payload is set.
    pub one_truck_less: Option<OneTruckLess>,
    /// The trucks one by one.
    pub deliveries: Vec<Delivery>,
    /// What they bring.
    #[serde(flatten)]
    pub delivered: InUnits<TonsDelivered>,
    /// The spreader's loads; null without a spreader.
    pub loads: Option<Loads>,
    /// The spreader's hours; null without a spreader.
    pub hours: Option<Hours>,
    /// The money; null without prices.
    pub money: Option<Money>,
}

/// What the tiers' rates are tons of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Basis {
    /// What the job's rates are tons of.
    pub rates_given: RatesGiven,
    /// What the rates in the files are tons of: always as spread.
    pub rates_written: String,
    /// Gypsum in the dry mass, percent; null where it is not known.
    pub purity_percent: Option<f64>,
    /// Water in the mass as spread, percent; null where it is not known.
    pub moisture_percent: Option<f64>,
    /// How many tons of product hold a ton of pure gypsum; null where it is not known.
    pub product_per_pure: Option<f64>,
    /// How product is reckoned from pure gypsum.
    pub formula: String,
}

/// What is known of how far machine and material stray.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Variation {
    /// How many weigh tests of the spreader count; null where fewer than two do.
    pub weigh_tests: Option<usize>,
    /// Their standard deviation, percent.
    pub scatter_percent: Option<f64>,
    /// What is lost of a delivery at the least and at the most, percent; null where it is not said.
    pub loss_percent: Option<[f64; 2]>,
    /// The water in the mass as spread at the least and at the most, percent; null where it is not said.
    pub moisture_percent: Option<[f64; 2]>,
}

/// One truck less than bring all that is ordered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OneTruckLess {
    /// How many trucks that is.
    pub trucks: usize,
    /// What they leave beyond what is spread and lost; below 0 where they are short.
    #[serde(flatten)]
    pub margin: InUnits<TonsMargin>,
    /// Whether the order is for so many.
    pub taken: bool,
}

/// What rates are tons of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum RatesGiven {
    /// Material as it is spread.
    #[serde(rename = "as spread")]
    AsSpread,
    /// Pure gypsum.
    #[serde(rename = "pure gypsum")]
    PureGypsum,
}

/// What is needed and ordered: the first three add up to the order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Need {
    /// What is spread.
    #[serde(flatten)]
    pub spread: InUnits<TonsSpread>,
    /// The margin.
    #[serde(flatten)]
    pub margin: InUnits<TonsMargin>,
    /// What is lost.
    #[serde(flatten)]
    pub lost: InUnits<TonsLost>,
    /// The order.
    #[serde(flatten)]
    pub ordered: InUnits<TonsOrdered>,
    /// How many trucks bring it; null where no payload is set.
    pub trucks: Option<usize>,
}

/// One road truck.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Delivery {
    /// Its number, from 1.
    pub delivery: usize,
    /// What it brings.
    #[serde(flatten)]
    pub mass: InUnits<Tons>,
    /// The pile that it is dumped on; null where there are no piles.
    pub pile: Option<usize>,
}

/// The spreader's loads.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Loads {
    /// What the hopper holds.
    #[serde(flatten)]
    pub hopper: InUnits<TonsHopper>,
    /// What may be loaded.
    #[serde(flatten)]
    pub legal: InUnits<TonsLegal>,
    /// One full load.
    #[serde(flatten)]
    pub fill: InUnits<TonsFill>,
    /// Which of the two limits it.
    pub limited_by: Limit,
    /// How many full loads the field equals.
    pub fills: f64,
    /// How many times the hopper is filled.
    pub count: usize,
    /// How many of the first are light.
    pub light_first: usize,
    /// How large those are, percent of a full one.
    pub light_percent: f64,
    /// How many full loads each zone equals: they add up to `fills`.
    pub zones: Vec<ZoneFills>,
}

/// What limits a load.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Limit {
    /// The hopper's volume.
    #[serde(rename = "hopper")]
    Hopper,
    /// The legal weight.
    #[serde(rename = "legal weight")]
    LegalWeight,
}

/// A zone's part of the loads.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ZoneFills {
    /// The zone's number.
    pub zone: usize,
    /// How many full loads it equals.
    pub fills: f64,
}

/// The spreader's hours, and what they are reckoned from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Hours {
    /// The least: at the highest ground speed.
    pub least: f64,
    /// The most: at the lowest ground speed.
    pub most: f64,
    /// How they are reckoned.
    pub formula: String,
    /// The distance between two passes.
    pub swath: f64,
    /// All passes together.
    pub pass_length: f64,
    /// The unit of `swath`, `pass_length` and `pile_way`.
    pub length_unit: String,
    /// The lowest ground speed.
    pub ground_speed_least: f64,
    /// The highest ground speed.
    pub ground_speed_most: f64,
    /// The unit of the speeds.
    pub speed_unit: String,
    /// How many turns.
    pub turns: usize,
    /// What a turn takes, in seconds.
    pub turn_seconds: f64,
    /// How many times the hopper is filled again.
    pub refills: usize,
    /// What filling it takes, in minutes.
    pub refill_minutes: f64,
    /// All ways to the pile and back; null where no pile has a place: they are not included.
    pub pile_way: Option<f64>,
    /// How fast these are driven; null for as fast as it spreads.
    pub road_speed: Option<f64>,
}

/// What it costs, in whatever money the prices are.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Money {
    /// The map.
    pub variable: Cost,
    /// One rate for the whole field.
    pub flat: Cost,
    /// The map's tons, spread evenly.
    pub even: Option<Cost>,
    /// By how much the map costs more.
    pub variable_over_flat: f64,
    /// The product as whole trucks bring it; null where no payload or price is set.
    pub product_as_delivered: Option<f64>,
}

/// Money for product and for spreading it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Cost {
    /// The product that is ordered.
    pub product: f64,
    /// Spreading it.
    pub spreading: f64,
    /// Both.
    pub total: f64,
}
