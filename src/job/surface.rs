//! The surface as a job writes it.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::{Deserializer, Visitor};

use super::JobError;
use super::range::{NotApplied, within};
use crate::plan::{Method, SurfaceSettings};
use crate::surface::{Idw, Neighbors};
use crate::units::{Length, Written};

/// The distance between the lattice's nodes, unless the job says another.
const GRID: Length = Length::feet(10.0);
/// The finest lattice: below this the zones' vertices are denser than they are sure.
const FINEST_GRID: Length = Length::feet(1.0);
/// The coarsest lattice: above this zones are missed.
const COARSEST_GRID: Length = Length::feet(330.0);

/// The surface's settings as written.
#[derive(Clone, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SurfaceEntry {
    /// How the CEC between samples is found; `"inverse distance"` when absent.
    #[serde(default)]
    pub method: Method,
    /// The power of the distance; chosen from the samples when absent.
    pub power: Option<f64>,
    /// How many nearest samples count; chosen from the samples when absent.
    pub neighbors: Option<NeighborsEntry>,
    /// The distance beyond which samples do not count; none when absent.
    pub radius: Option<Written<Length>>,
    /// Whether a sample's weight falls to nothing before it stops to count, so that the surface has no
    /// steps; `true` when absent.
    pub taper: Option<bool>,
    /// The distance between the nodes of the lattice; `"10 ft"` when absent.
    pub grid: Option<Written<Length>>,
}

/// A number of neighbors or `"all"`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NeighborsEntry {
    /// So many.
    Count(usize),
    /// All samples.
    All,
}

impl SurfaceEntry {
    pub(super) fn settings(&self, file: &str) -> Result<SurfaceSettings, JobError> {
        if self.method == Method::Kriging {
            let when = "with method = \"kriging\"";
            let written = [
                ("[surface] power", self.power.is_some()),
                ("[surface] neighbors", self.neighbors.is_some()),
                ("[surface] taper", self.taper.is_some()),
            ];
            NotApplied { file, when }.check(written)?;
        }
        let settings = SurfaceSettings {
            method: self.method,
            power: self.power,
            neighbors: self.neighbors.map(|neighbors| match neighbors {
                NeighborsEntry::Count(count) => Neighbors::Nearest(count),
                NeighborsEntry::All => Neighbors::All,
            }),
            radius: self.radius.map(|radius| radius.value),
            plain: self.taper == Some(false),
        };
        // The samples are not there yet; what is written can be judged without them.
        let usual = Idw::default();
        let power = settings.power.unwrap_or(usual.power());
        let neighbors = settings.neighbors.unwrap_or(usual.neighbors());
        Idw::new(power, neighbors, settings.radius.map(Length::as_metres))
            .map(|_| settings)
            .map_err(|error| JobError::Surface { file: file.to_owned(), error })
    }

    pub(super) fn grid(&self, file: &str) -> Result<Length, JobError> {
        let expected = "1 ft to 330 ft (0.31 m to 100 m)";
        within(file, "[surface] grid", self.grid, FINEST_GRID..=COARSEST_GRID, expected)
            .map(|grid| grid.unwrap_or(GRID))
    }
}

impl JsonSchema for NeighborsEntry {
    fn schema_name() -> Cow<'static, str> {
        "NeighborsEntry".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "anyOf": [
            { "type": "integer", "minimum": 1, "description": "So many." },
            { "const": "all", "description": "All samples." },
        ] })
    }
}

impl<'de> Deserialize<'de> for NeighborsEntry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct CountOrAll;

        impl Visitor<'_> for CountOrAll {
            type Value = NeighborsEntry;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a number of samples from 1, or \"all\"")
            }

            fn visit_i64<E: serde::de::Error>(self, count: i64) -> Result<NeighborsEntry, E> {
                usize::try_from(count)
                    .ok()
                    .filter(|count| *count > 0)
                    .map(NeighborsEntry::Count)
                    .ok_or_else(|| E::invalid_value(serde::de::Unexpected::Signed(count), &self))
            }

            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<NeighborsEntry, E> {
                match text {
                    "all" => Ok(NeighborsEntry::All),
                    other => Err(E::invalid_value(serde::de::Unexpected::Str(other), &self)),
                }
            }
        }

        deserializer.deserialize_any(CountOrAll)
    }
}
