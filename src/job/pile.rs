//! Piles in the field as a job writes them.

use std::path::PathBuf;

use geo::Coord;
use serde::Deserialize;

use super::entry::AccessEntry;
use super::range::{NotApplied, fault, within};
use super::{JobError, KeepOutEntry};
use crate::plan::Asked;
use crate::stockpile::MOST_PILES;
use crate::units::{Length, Mass, Quantity, System, Written};

/// How far piles keep from what a job names, unless it says another distance: common practice, no
/// source; local rules govern.
const SETBACK: Length = Length::feet(200.0);
/// How far from its lane a road truck dumps, unless the job says another distance: common practice,
/// no source.
const REACH: Length = Length::feet(100.0);
/// The longest setback or reach: a mile.
const LONGEST: Length = Length::feet(5280.0);

/// What a job says about piles in the field.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PileEntry {
    /// Where road trucks can stand; anywhere when absent.
    pub access: Option<AccessEntry>,
    /// How far from there they dump; 100 ft when absent.
    pub reach: Option<Written<Length>>,
    /// How many piles; as many as the capacity makes needed when absent.
    pub piles: Option<i64>,
    /// What each of them holds; anything when absent.
    pub capacity: Option<Written<Mass>>,
    /// A place for one pile: longitude and latitude, WGS84 degrees.
    pub place: Option<[f64; 2]>,
    /// What piles keep a distance from.
    #[serde(default)]
    pub setback: Vec<SetbackEntry>,
}

/// Where features are that piles keep a distance from.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetbackEntry {
    /// The file with the features.
    pub file: PathBuf,
    /// How far; 200 ft when absent.
    pub distance: Option<Written<Length>>,
    /// What they are.
    pub why: String,
    /// The coordinate system, such as `EPSG:2965`; what the file itself says if `None`.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file; of task data the kind, an obstacle if `None`.
    pub layer: Option<String>,
    /// The name of the field that they belong to, where the file says it; all if `None`.
    pub field: Option<String>,
}

/// A length with a default, in the system that defaults are said in.
fn or(written: Option<Written<Length>>, default: Length) -> Written<Length> {
    written.unwrap_or(Written { value: default, system: System::Us })
}

impl PileEntry {
    /// How far from the access road trucks dump.
    #[must_use]
    pub fn reach(&self) -> Written<Length> {
        or(self.reach, REACH)
    }

    /// The setbacks as layers are written, with their distances.
    #[must_use]
    pub fn setbacks(&self) -> Vec<KeepOutEntry> {
        let entry = |setback: &SetbackEntry| KeepOutEntry {
            file: setback.file.clone(),
            distance: or(setback.distance, SETBACK),
            why: setback.why.clone(),
            crs: setback.crs.clone(),
            layer: setback.layer.clone(),
            field: setback.field.clone(),
        };
        self.setback.iter().map(entry).collect()
    }

    /// The systems that it is written in.
    pub(super) fn systems(&self) -> impl Iterator<Item = System> {
        let lengths = self.setback.iter().map(|setback| setback.distance).chain([self.reach]);
        let lengths = lengths.flatten().map(|length| length.system);
        lengths.chain(self.capacity.map(|capacity| capacity.system))
    }

    pub(super) fn asked(&self, file: &str) -> Result<Asked, JobError> {
        for (number, setback) in (1..).zip(self.setbacks()) {
            let called = setback.called("[[pile.setback]]", number);
            setback.check(file, &called)?;
        }
        if self.access.is_none() {
            let written = [("[pile] reach", self.reach.is_some())];
            NotApplied { file, when: "without access" }.check(written)?;
        }
        let expected = "1 ft to 5,280 ft (0.31 m to 1609 m)";
        within(file, "[pile] reach", self.reach, Length::feet(1.0)..=LONGEST, expected)?;
        let whole =
            |count: i64| usize::try_from(count).ok().filter(|n| (1..=MOST_PILES).contains(n));
        let piles = match self.piles {
            Some(count) => Some(whole(count).ok_or_else(|| {
                let expected = format!("1 to {MOST_PILES}");
                fault(file, "[pile] piles", count.to_string(), expected)
            })?),
            None => None,
        };
        if let Some(Written { value, system }) = self.capacity
            && value <= Mass::ZERO
        {
            return Err(fault(file, "[pile] capacity", value.show(system, 2), "a mass above 0"));
        }
        if self.place.is_some() && piles.is_some_and(|count| count > 1) {
            let expected = "piles = 1 with a place: leave one of the two out";
            return Err(fault(file, "[pile] place", "a place for several piles", expected));
        }
        Ok(Asked {
            piles,
            capacity: self.capacity.map(|capacity| capacity.value),
            place: self.place.map(|at| place(file, at)).transpose()?,
        })
    }
}

/// A place, if it is a longitude and a latitude.
fn place(file: &str, [longitude, latitude]: [f64; 2]) -> Result<Coord<f64>, JobError> {
    if longitude.abs() <= 180.0 && latitude.abs() <= 90.0 {
        return Ok(Coord { x: longitude, y: latitude });
    }
    let expected = "longitude and latitude in degrees, longitude first";
    Err(fault(file, "[pile] place", format!("{longitude}, {latitude}"), expected))
}

#[cfg(test)]
mod tests;
