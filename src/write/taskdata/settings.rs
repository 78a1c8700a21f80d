use std::fmt;

use serde::Deserialize;

use super::Name;
use crate::units::{Length, Rate};

/// Finer cells are below what a receiver can tell apart.
pub const FINEST_CELL: Length = Length::metres(1.0);

/// How task data is written.
#[derive(Clone, Debug, PartialEq)]
pub struct TaskSettings {
    /// The version of the standard.
    pub version: Version,
    /// What holds the rates.
    pub form: Form,
    /// A grid's cells on the ground, at the most.
    pub cell: Length,
    /// Whose field it is.
    pub customer: Name,
    /// The farm that it belongs to.
    pub farm: Name,
    /// What the field is called.
    pub field: Name,
    /// What is spread.
    pub product: Name,
    /// The rate while the receiver has no position.
    pub position_lost: Rate,
    /// The most positions that the polygon of a treatment zone may have.
    pub max_vertices: Option<usize>,
}

/// A version of ISO 11783-10.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Version {
    /// Of 2009, version 3.3.
    Three,
    /// Of 2015, version 4.3.
    #[default]
    Four,
}

impl Version {
    /// Its number.
    #[must_use]
    pub fn major(self) -> u8 {
        match self {
            Version::Three => 3,
            Version::Four => 4,
        }
    }
}

/// What holds the rates of a task.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
pub enum Form {
    /// A polygon a zone.
    #[default]
    #[serde(rename = "zones")]
    Zones,
    /// A grid with a zone's code in each cell (grid type 1).
    #[serde(rename = "zone grid")]
    ZoneGrid,
    /// A grid with a rate in each cell (grid type 2).
    #[serde(rename = "rate grid")]
    RateGrid,
}

impl fmt::Display for Form {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Form::Zones => "zones",
            Form::ZoneGrid => "zone grid",
            Form::RateGrid => "rate grid",
        })
    }
}
