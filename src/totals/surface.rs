use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How the CEC between samples was found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Surface {
    /// The method.
    pub method: Method,
    /// The power of the distance.
    pub power: f64,
    /// How many nearest samples count at a place.
    pub neighbors: Neighbors,
    /// The distance beyond which samples do not count; null where there is none.
    pub radius: Option<f64>,
    /// Whether a sample's weight falls to nothing before it stops to count.
    pub taper: Option<bool>,
    /// The grid spacing.
    pub grid: f64,
    /// The unit of `radius` and `grid`.
    pub length_unit: String,
    /// How many settings were tried.
    pub settings_tried: usize,
    /// The errors of the settings that were taken, each sample left out in turn.
    pub cross_validation: Option<Trial>,
    /// The settings with the least error of all that were tried.
    pub least_rmse: Option<Trial>,
    /// The kriging model; null for another method.
    pub kriging: Option<Kriging>,
    /// The errors of the usual settings: power 2, the nearest 12 samples.
    pub power_2_nearest_12: Option<Trial>,
}

/// A method of interpolation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Method {
    /// Inverse distance weighting.
    #[serde(rename = "inverse distance")]
    InverseDistance,
    /// Ordinary kriging.
    Kriging,
}

/// How many nearest samples count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Neighbors {
    /// So many.
    Nearest(usize),
    /// All of them.
    All(All),
}

/// All samples.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum All {
    /// All of them.
    All,
}

/// Settings and their errors in CEC points, each sample left out in turn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Trial {
    /// The power of the distance.
    pub power: f64,
    /// How many nearest samples count at a place.
    pub neighbors: Neighbors,
    /// The typical error (leave-one-out RMSE).
    pub rmse: f64,
    /// The mean error.
    pub mean_error: f64,
    /// The share of the samples' differences that is explained; null where they do not differ.
    pub r2: Option<f64>,
}

/// The kriging model and its errors in CEC points, each sample left out in turn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Kriging {
    /// The variogram's form.
    pub model: VariogramModel,
    /// Its nugget.
    pub nugget: f64,
    /// Its partial sill.
    pub partial_sill: f64,
    /// Its range, in meters.
    pub range_m: f64,
    /// The typical error (leave-one-out RMSE).
    pub rmse: f64,
    /// The mean error.
    pub mean_error: f64,
    /// The share of the samples' differences that is explained; null where they do not differ.
    pub r2: Option<f64>,
}

/// A variogram's form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum VariogramModel {
    /// Level beyond its range.
    Spherical,
    /// Nearing its sill ever more slowly.
    Exponential,
}

/// The coordinate systems.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Coordinates {
    /// That of the files as written.
    pub written: String,
    /// That of the boundary's file.
    pub boundary: Source,
    /// That of the samples' file.
    pub samples: Source,
    /// How distances are measured.
    pub distances: String,
    /// How areas are measured.
    pub areas: String,
}

/// An input's coordinate system.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Source {
    /// What it is called.
    pub crs: String,
    /// How exactly it is turned into WGS 84, in meters; null where that is not known.
    pub accuracy_m: Option<f64>,
}
