use geo::{Coord, MultiPolygon};
use serde::Deserialize;

use crate::order::OrderSettings;
use crate::soil::{SodicLayer, Tiers};
use crate::stockpile::PileRequest;
use crate::surface::{Neighbors, Search};
use crate::units::{Date, Length, Rate, System};
use crate::warning::Warning;
use crate::zones::{CleanUp, Passes, longest_side};

/// What is said of a field beside its soil.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct About {
    /// The day of the plan.
    pub date: Option<Date>,
    /// Whose field it is.
    pub grower: Option<String>,
    /// The farm that it belongs to.
    pub farm: Option<String>,
    /// Where trucks drive in: WGS84, degrees.
    pub entrance: Option<Coord<f64>>,
}

/// What a plan is made by, beside the field.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The job's name, which is its folder's too.
    pub job: String,
    /// For whom and when, and where one drives in.
    pub about: About,
    /// The units that it prints in.
    pub system: System,
    /// How much goes on which CEC, within the job's lowest and highest rate.
    pub tiers: Tiers,
    /// The one rate of product that the map is compared with, where the job says it.
    pub flat: Option<Rate>,
    /// How the CEC between samples is found.
    pub surface: SurfaceSettings,
    /// The distance between the lattice's nodes.
    pub grid: Length,
    /// What becomes of zones too small or too narrow to spread; they stay when absent.
    pub clean_up: Option<CleanUp>,
    /// The rows that the machine drives, where the plan is made of their cells.
    pub rows: Option<Rows>,
    /// How ground that is not spread is written.
    pub unspread: Unspread,
    /// What an order is made by; no order when absent.
    pub order: Option<OrderSettings>,
    /// The layer that a sodic soil would be reclaimed in.
    pub sodic: SodicLayer,
    /// What is asked of piles in the field; none are placed when absent.
    pub piles: Option<PileRequest>,
    /// What somebody should look at in these settings, in the order it was found.
    pub warnings: Vec<Warning>,
}

/// How the CEC between samples is found. What is absent is chosen from the samples.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SurfaceSettings {
    /// The method.
    pub method: Method,
    /// The power of the distance.
    pub power: Option<f64>,
    /// Which samples count at a place.
    pub neighbors: Option<Neighbors>,
    /// The distance beyond which samples do not count.
    pub radius: Option<Length>,
    /// Whether weights are plain, not tapered.
    pub plain: bool,
}

impl SurfaceSettings {
    /// What to try: what is set, and for what is not the usual choices.
    #[must_use]
    pub fn search(&self) -> Search {
        let usual = Search::default();
        Search {
            powers: self.power.map_or(usual.powers, |power| vec![power]),
            neighbors: self.neighbors.map_or(usual.neighbors, |neighbors| vec![neighbors]),
            radius: self.radius.map(Length::as_metres),
            taper: !self.plain,
        }
    }
}

/// A way to find the CEC between samples.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
pub enum Method {
    /// The mean of the nearest samples, weighted by a power of the distance.
    #[default]
    #[serde(rename = "inverse distance")]
    InverseDistance,
    /// The best linear unbiased prediction by a variogram.
    #[serde(rename = "kriging")]
    Kriging,
}

/// The rows that the machine drives, cut into cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rows {
    /// Where they run.
    pub heading: Heading,
    /// The distance from one row to the next.
    pub swath: Length,
    /// The length of a cell along its row.
    pub cell: Length,
}

impl Rows {
    /// The same in radians and meters, for a field on its own projection, whose north is true.
    pub(super) fn passes(&self, boundary: &MultiPolygon<f64>) -> Passes {
        let heading = match self.heading {
            Heading::Degrees(degrees) => degrees.to_radians(),
            Heading::Longest => longest_side(boundary),
        };
        Passes { heading, swath: self.swath.as_metres(), cell: self.cell.as_metres() }
    }
}

/// Where rows run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heading {
    /// Degrees clockwise from true north: 0 or more, under 360.
    Degrees(f64),
    /// Along the field's longest edge.
    Longest,
}

/// How ground that is not spread is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
pub enum Unspread {
    /// As zones of rate 0, so that a controller stops there whatever it does where it has no zone.
    #[default]
    #[serde(rename = "rate 0")]
    RateZero,
    /// Not at all: the map has a hole there.
    #[serde(rename = "leave out")]
    LeaveOut,
}
