//! The zones as a job writes them: what becomes of small ones, rows, and ground that is not spread.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::{Deserializer, Visitor};

use super::JobError;
use super::range::{NotApplied, fault, lacks, within};
use crate::faults::Faults;
use crate::plan::{CleanUp, Heading, Islands, Prefer, Rows, Unspread};
use crate::units::{Area, Length, Written};

/// Zones smaller than this are not worth a change of the rate, unless the job says another.
const MIN_ZONE: Area = Area::acres(0.5);
/// The largest such zone: above this whole parts of fields would change their rate.
const MOST_MIN_ZONE: Area = Area::acres(50.0);
/// A spreader's usual swath, for the narrowest zone where the job does not say the swath.
const USUAL_SWATH: Length = Length::feet(60.0);
/// The widest zone that may count as too narrow: several swaths of any machine.
const MOST_MIN_WIDTH: Length = Length::feet(1000.0);
/// How far a border may move when it is smoothed, as a part of the swath, unless the job says another:
/// what is narrower than half a swath, a spreader cannot follow.
const TOLERANCE: f64 = 0.25;
/// The farthest that a border line may move.
const MOST_TOLERANCE: Length = Length::feet(30.0);
/// The shortest cell of a row: a rate lasts for a second or so at spreading speed.
const SHORTEST_CELL: Length = Length::feet(5.0);
/// The longest cell of a row.
const LONGEST_CELL: Length = Length::feet(1000.0);

/// What a job says about zones.
#[derive(Clone, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ZonesEntry {
    /// Whether small and narrow zones join others; `true` when absent.
    pub clean_up: Option<bool>,
    /// The smallest zone; `"0.5 ac"` when absent.
    pub min_zone: Option<Written<Area>>,
    /// The narrowest zone; the swath, or 60 ft without one when absent.
    pub min_width: Option<Written<Length>>,
    /// How far a border may move when it is smoothed so that the spreader can follow; a quarter of the
    /// swath, or 15 ft without one when absent.
    pub tolerance: Option<Written<Length>>,
    /// Which zone a small one joins; `"nearest"` when absent.
    pub prefer: Option<Prefer>,
    /// Whether a zone on which the tier around it is more probable joins that; `"join"` when absent.
    pub islands: Option<Islands>,
    /// Where the rows run; no rows when absent.
    pub heading: Option<HeadingEntry>,
    /// How long a row's cells are; the swath when absent.
    pub cell_length: Option<Written<Length>>,
    /// How ground that is not spread is written; `"rate 0"` when absent.
    #[serde(default)]
    pub unspread: Unspread,
}

/// Degrees clockwise from true north, or `"longest"`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeadingEntry {
    /// Degrees.
    Degrees(f64),
    /// Along the field's longest edge.
    Longest,
}

impl HeadingEntry {
    pub(super) fn understood(self, file: &str, setting: &str) -> Result<Heading, JobError> {
        match self {
            Self::Longest => Ok(Heading::Longest),
            Self::Degrees(degrees) if (0.0..360.0).contains(&degrees) => {
                Ok(Heading::Degrees(degrees))
            }
            Self::Degrees(degrees) => {
                let expected = "degrees clockwise from true north, 0 or more and under 360";
                Err(fault(file, setting, degrees.to_string(), expected))
            }
        }
    }
}

impl ZonesEntry {
    pub(super) fn clean_up(
        &self,
        file: &str,
        swath: Option<Length>,
    ) -> Result<Option<CleanUp>, JobError> {
        if self.clean_up == Some(false) {
            let written = [
                ("[zones] min_zone", self.min_zone.is_some()),
                ("[zones] min_width", self.min_width.is_some()),
                ("[zones] tolerance", self.tolerance.is_some()),
                ("[zones] prefer", self.prefer.is_some()),
                ("[zones] islands", self.islands.is_some()),
            ];
            return NotApplied { file, when: "with clean_up = false" }
                .check(written)
                .map(|()| None);
        }
        let (least, mut faults) = (Length::ZERO, Faults::default());
        let min_zone = faults.of(within(
            file,
            "[zones] min_zone",
            self.min_zone,
            Area::ZERO..=MOST_MIN_ZONE,
            "0 acres to 50 acres (0 ha to 20 ha)",
        ));
        let min_width = faults.of(within(
            file,
            "[zones] min_width",
            self.min_width,
            least..=MOST_MIN_WIDTH,
            "0 ft to 1,000 ft (0 m to 305 m)",
        ));
        let tolerance = faults.of(within(
            file,
            "[zones] tolerance",
            self.tolerance,
            least..=MOST_TOLERANCE,
            "0 ft to 30 ft (0 m to 9.1 m)",
        ));
        faults.all()?;
        Ok(Some(CleanUp {
            min_zone: min_zone.flatten().unwrap_or(MIN_ZONE),
            min_width: min_width.flatten().or(swath).unwrap_or(USUAL_SWATH),
            tolerance: tolerance.flatten().unwrap_or_else(|| {
                let part = swath.unwrap_or(USUAL_SWATH) * TOLERANCE;
                if part > MOST_TOLERANCE { MOST_TOLERANCE } else { part }
            }),
            prefer: self.prefer.unwrap_or_default(),
            islands: self.islands.unwrap_or_default(),
        }))
    }

    pub(super) fn rows(&self, file: &str, swath: Option<Length>) -> Result<Option<Rows>, JobError> {
        let cell = within(
            file,
            "[zones] cell_length",
            self.cell_length,
            SHORTEST_CELL..=LONGEST_CELL,
            "5 ft to 1,000 ft (1.5 m to 305 m)",
        )?;
        let Some(heading) = self.heading else {
            if cell.is_some() {
                let expected = "one such as heading = 90 or heading = \"longest\"";
                return Err(lacks(file, "[zones] cell_length", "heading", expected));
            }
            return Ok(None);
        };
        let heading = heading.understood(file, "[zones] heading")?;
        let Some(swath) = swath else {
            let expected = "one above the tables, such as swath = \"60 ft\"";
            return Err(lacks(file, "[zones] heading", "swath", expected));
        };
        Ok(Some(Rows { heading, swath, cell: cell.unwrap_or(swath) }))
    }
}

impl JsonSchema for HeadingEntry {
    fn schema_name() -> Cow<'static, str> {
        "HeadingEntry".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "anyOf": [
            { "type": "number", "minimum": 0, "exclusiveMaximum": 360, "description": "Degrees clockwise from true north." },
            { "const": "longest", "description": "Along the field's longest edge." },
        ] })
    }
}

impl<'de> Deserialize<'de> for HeadingEntry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct DegreesOrLongest;

        impl Visitor<'_> for DegreesOrLongest {
            type Value = HeadingEntry;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("degrees clockwise from true north, or \"longest\"")
            }

            fn visit_f64<E>(self, degrees: f64) -> Result<HeadingEntry, E> {
                Ok(HeadingEntry::Degrees(degrees))
            }

            fn visit_i64<E>(self, degrees: i64) -> Result<HeadingEntry, E> {
                Ok(HeadingEntry::Degrees(degrees as f64))
            }

            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<HeadingEntry, E> {
                match text {
                    "longest" => Ok(HeadingEntry::Longest),
                    other => Err(E::invalid_value(serde::de::Unexpected::Str(other), &self)),
                }
            }
        }

        deserializer.deserialize_any(DegreesOrLongest)
    }
}
