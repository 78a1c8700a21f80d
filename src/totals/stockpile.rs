use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Acres, InUnits, Tons};

/// The piles, where they may lie, and what became of a named place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stockpile {
    /// What the size of piles is taken from.
    pub heap: Heap,
    /// The ground where they may lie.
    pub allowed: Allowed,
    /// The piles.
    pub piles: Vec<Pile>,
    /// The loaded travel from all piles.
    pub loaded_travel: f64,
    /// The unit of loaded travel.
    pub loaded_travel_unit: String,
    /// The unit of all distances.
    pub length_unit: String,
    /// The place that the job names; null where it names none.
    pub named_place: Option<NamedPlace>,
    /// The place that misses the fewest setbacks, where no ground is allowed; null otherwise.
    pub nearest_miss: Option<Spot>,
}

/// What the size of a pile is taken from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Heap {
    /// The material's bulk density.
    pub bulk_density: f64,
    /// The unit of it.
    pub bulk_density_unit: String,
    /// How steep the material lies, degrees.
    pub repose_degrees: f64,
}

/// The ground where piles may lie.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Allowed {
    /// Its area.
    #[serde(flatten)]
    pub area: InUnits<Acres>,
}

/// One pile.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Pile {
    /// Its number, from 1.
    pub pile: usize,
    /// What it holds.
    #[serde(flatten)]
    pub mass: InUnits<Tons>,
    /// How wide it is at its foot.
    pub width: f64,
    /// How high it is.
    pub height: f64,
    /// The loaded travel from it.
    pub loaded_travel: f64,
    /// Where it lies.
    pub spot: Spot,
    /// What each zone takes from it.
    pub zones: Vec<PileZone>,
}

/// What a zone takes from a pile.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PileZone {
    /// The zone's number.
    pub zone: usize,
    /// What it takes.
    #[serde(flatten)]
    pub mass: InUnits<Tons>,
}

/// A place that the job names for a pile.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct NamedPlace {
    /// Whether a pile may lie there.
    pub allowed: bool,
    /// Why not.
    pub faults: Vec<String>,
    /// The loaded travel from there.
    pub loaded_travel: f64,
    /// The loaded travel from the best place; null where none is allowed.
    pub loaded_travel_from_best: Option<f64>,
    /// Where it is.
    pub spot: Spot,
}

/// A place and what it is near.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Spot {
    /// Its longitude, WGS 84 degrees.
    pub longitude: f64,
    /// Its latitude, WGS 84 degrees.
    pub latitude: f64,
    /// Its setbacks.
    pub setbacks: Vec<Clearance>,
    /// The way to where trucks stand; null where the job names no access.
    pub access: Option<Clearance>,
    /// How far outside of the field it is; 0 inside.
    pub outside_field: f64,
    /// The keep-out area that it lies in; null where it lies in none.
    pub kept_out: Option<String>,
}

/// A distance that is required, and the one there is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Clearance {
    /// What from.
    pub why: String,
    /// The distance that is required.
    pub asked: f64,
    /// The distance there is; null where there is nothing to measure to.
    pub found: Option<f64>,
    /// Whether the distance is the job's own; else it is the default one.
    pub stated: bool,
}
