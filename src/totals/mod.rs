//! What a plan and a farm come to, as `totals.json` and `farm.json` hold it: written and read back
//! by these types alone. What each key means stands here, and from here in the files' published
//! schemas.
//!
//! [`SCHEMA`] grows when a key goes or changes its meaning. A key that is only added leaves it, and
//! is an `Option`, so that files from before it are read too.

mod about;
mod amounts;
mod certainty;
mod clean_up;
mod farm;
mod in_units;
mod keys;
mod landing;
mod order;
mod schema_number;
mod soil;
mod stockpile;
mod surface;
mod task_data;
mod warning;

use schemars::JsonSchema;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

pub use about::About;
pub use amounts::{Amount, FlatRate, Samples, SecondLook, Tier, Unspread, Zone};
pub use certainty::{Certainty, ErrorModel, ZoneCertainty};
pub use clean_up::{CleanUp, Islands, Moved};
pub use farm::{
    Failure, FarmCosts, FarmDeliveries, FarmField, FarmFile, FarmOrder, FarmSpreading, FarmTier,
    FarmTotal, FieldCosts, FieldOrder, Spread, Unmet,
};
pub use in_units::{InUnits, Key};
pub use keys::{
    Acres, AcresLeft, AcresMoved, FlatRateTons, Tons, TonsDelivered, TonsFill, TonsHigh,
    TonsHopper, TonsLanded, TonsLegal, TonsLost, TonsLow, TonsMargin, TonsOrdered, TonsOrderedHigh,
    TonsOrderedLow, TonsOver, TonsPerDelivery, TonsPlanned, TonsShort, TonsSpread,
};
pub use landing::{Landed, LandedApart, LandedKeptOut, LandedMass, LandedZone, Landing, Logged};
pub use order::{
    Basis, Cost, Delivery, Hours, Limit, Loads, Money, Need, OneTruckLess, Order, RatesGiven,
    Variation, ZoneFills,
};
pub use schema_number::{SCHEMA, SchemaNumber};
pub use soil::{MagnesiumCaution, Saturation, SodicLayer, SodicRequirement, Soil, SoilSample};
pub use stockpile::{Allowed, Clearance, Heap, NamedPlace, Pile, PileZone, Spot, Stockpile};
pub use surface::{
    All, Coordinates, Kriging, Method, Neighbors, Source, Surface, Trial, VariogramModel,
};
pub use task_data::{Grid, TaskData, TaskForm};
pub use warning::Warning;

use crate::units::System;

/// The content of `totals.json`: the zones, tiers and total of a field, and what was decided on the
/// way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Totals {
    /// The number of this form.
    pub schema: SchemaNumber,
    /// What the job is called.
    pub job: String,
    /// For whom and when; null where the job says nothing of it.
    pub about: Option<About>,
    /// The units of all figures, and of the keys that name a unit: tons are short tons of 2,000 lb.
    pub units: System,
    /// What is spread on the whole field.
    pub total: Amount,
    /// The tiers, from the lowest CEC.
    pub tiers: Vec<Tier>,
    /// The zones as the map has them.
    pub zones: Vec<Zone>,
    /// What one rate for the whole field would take.
    pub flat_rate: FlatRate,
    /// The samples that count.
    pub samples: Samples,
    /// How the CEC between samples was found.
    pub surface: Surface,
    /// The coordinate systems.
    pub coordinates: Coordinates,
    /// How sure the tiers are; null where the samples do not tell.
    pub certainty: Option<Certainty>,
    /// What the clean-up of small and narrow zones moved; null where it was switched off.
    pub clean_up: Option<CleanUp>,
    /// What is not spread, by cause.
    pub unspread: Vec<Unspread>,
    /// The piles in the field; null where none are asked for.
    pub stockpile: Option<Stockpile>,
    /// Samples that differ most from their neighbors.
    pub second_look: Vec<SecondLook>,
    /// The order; null where there is none.
    pub order: Option<Order>,
    /// What the soil test says beside the CEC; null where it has neither cations nor sodium.
    pub soil: Option<Soil>,
    /// The names of samples that do not count.
    pub excluded: Vec<String>,
    /// What to look at before the map is used, the gravest first.
    pub warnings: Vec<Warning>,
    /// What goes for every map.
    pub cautions: Vec<String>,
    /// What lands of it, by simulation; absent where there is no spreader or no pan test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub landing: Option<Landing>,
    /// The task data that was written; absent where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub task_data: Option<TaskData>,
}

impl Totals {
    /// Reads the text of a `totals.json`.
    ///
    /// ```
    /// use std::path::Path;
    ///
    /// use landplaster::totals::{self, Totals};
    /// use landplaster::work::{Memory, Work};
    ///
    /// # let field = r#"{"type": "Polygon", "coordinates": [[[-85.2, 40.4],
    /// #     [-85.1976, 40.4], [-85.1976, 40.4018], [-85.2, 40.4018], [-85.2, 40.4]]]}"#;
    /// # let samples = "id,longitude,latitude,cec\n\
    /// #     A1,-85.1996,40.4004,6\nA2,-85.1988,40.4004,9\nA3,-85.1980,40.4004,13\n\
    /// #     B1,-85.1996,40.4014,8\nB2,-85.1988,40.4014,14\nB3,-85.1980,40.4014,19\n";
    /// let mut files = Memory::default();
    /// files.put("field.geojson", field).put("samples.csv", samples);
    /// let job = "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n";
    /// let (plan, output) = Work::of_file(Path::new("corner.toml"), job)?.plan(&files)?;
    ///
    /// // What is written is read back as it was, and its zones add up to its total.
    /// let read = Totals::read(&totals::text(&output.totals)?)?;
    /// assert_eq!(read, output.totals);
    /// let zones: f64 = read.zones.iter().map(|zone| zone.amount.mass.value).sum();
    /// assert!((zones - plan.total.printed_mass).abs() < 1e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// When it is not one, or one of another form.
    pub fn read(text: &str) -> Result<Self, NotTotals> {
        read(text, "totals.json that a plan writes")
    }
}

impl FarmFile {
    /// Reads the text of a `farm.json`.
    ///
    /// # Errors
    /// When it is not one, or one of another form.
    pub fn read(text: &str) -> Result<Self, NotTotals> {
        read(text, "farm.json that the plan of a farm writes")
    }
}

fn read<T: DeserializeOwned>(text: &str, expected: &'static str) -> Result<T, NotTotals> {
    serde_json::from_str(text).map_err(|error| NotTotals { reason: error.to_string(), expected })
}

/// Why a text is no `totals.json` or `farm.json`.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{reason}; expected the {expected}; plan again")]
pub struct NotTotals {
    reason: String,
    expected: &'static str,
}

/// The text of such a file.
///
/// # Errors
/// Never for the types of this room.
pub fn text(of: &impl Serialize) -> Result<String, serde_json::Error> {
    serde_json::to_string_pretty(of).map(|text| text + "\n")
}

/// The demo farm's fields, one in metric units and one with piles and an order.
#[cfg(test)]
pub(crate) const CREEK_BOTTOM: &str = include_str!("../../fixtures/golden/creek-bottom.json");
#[cfg(test)]
pub(crate) const POND_QUARTER: &str = include_str!("../../fixtures/golden/pond-quarter.json");
