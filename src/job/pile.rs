//! Piles in the field as a job writes them.

use std::path::PathBuf;

use geo::Coord;
use serde::Deserialize;

use super::entry::AccessEntry;
use super::range::{NotApplied, fault, within};
use super::{JobError, KeepOutEntry};
use crate::faults::Faults;
use crate::field::Site;
use crate::plan::PileRequest;
use crate::stockpile::{Heap, MOST_PILES};
use crate::units::{Angle, Density, Length, Mass, Quantity, System, Written};

/// How far from its lane a road truck dumps, unless the job says another distance: common practice,
/// no source.
const REACH: Length = Length::feet(100.0);
/// The longest setback or reach: a mile.
const LONGEST: Length = Length::feet(5280.0);
/// The flattest and the steepest heap: from a slurry that runs to clods that lock.
const SLOPES: [Angle; 2] = [Angle::degrees(15.0), Angle::degrees(60.0)];
/// From a dry fluff to wet and packed.
const DENSITIES: [Density; 2] =
    [Density::pounds_per_cubic_foot(25.0), Density::pounds_per_cubic_foot(125.0)];

/// What a job says about piles in the field.
#[derive(Clone, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PileEntry {
    /// Where road trucks can stand; anywhere when absent.
    pub access: Option<AccessEntry>,
    /// How far from there they dump; `"100 ft"` when absent.
    pub reach: Option<Written<Length>>,
    /// How many piles; as many as the capacity makes needed when absent.
    pub piles: Option<i64>,
    /// What each of them holds; anything when absent.
    pub capacity: Option<Written<Mass>>,
    /// A place for one pile: longitude and latitude, WGS84 degrees; the best place is found when absent.
    pub place: Option<[f64; 2]>,
    /// How steep the material lies; 37 degrees when absent.
    pub repose: Option<Written<Angle>>,
    /// Its bulk density; that of the spreader file, else 55 lb/ft3, when absent.
    pub bulk_density: Option<Written<Density>>,
    /// What piles keep a distance from; what is known of water alone when absent.
    #[serde(default)]
    pub setback: Vec<SetbackEntry>,
}

/// Where features are that piles keep a distance from.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetbackEntry {
    /// The file with the features.
    #[serde(deserialize_with = "super::path::path")]
    pub file: PathBuf,
    /// How far; `"200 ft"` when absent.
    pub distance: Option<Written<Length>>,
    /// What they are.
    pub why: String,
    /// The coordinate system, such as `EPSG:2965`; what the file itself says when absent.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file, of task data the kind; the only one, of task data the obstacles, when absent.
    pub layer: Option<String>,
    /// The name of the field that they belong to, where the file says it; all when absent.
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
            distance: or(setback.distance, Site::SETBACK),
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
        let density = self.bulk_density.map(|density| density.system);
        lengths.chain(self.capacity.map(|capacity| capacity.system)).chain(density)
    }

    /// What is asked of piles; `loaded` is the material's bulk density, where the spreader's file says
    /// it.
    pub(super) fn asked(
        &self,
        file: &str,
        loaded: Option<Density>,
    ) -> Result<PileRequest, JobError> {
        let mut faults = Faults::default();
        for (number, setback) in (1..).zip(self.setbacks()) {
            let called = setback.called("[[pile.setback]]", number);
            faults.of(setback.check(file, &called));
        }
        if self.access.is_none() {
            let written = [("[pile] reach", self.reach.is_some())];
            faults.of(NotApplied { file, when: "without access" }.check(written));
        }
        let expected = "1 ft to 5,280 ft (0.31 m to 1609 m)";
        let reaches = Length::feet(1.0)..=LONGEST;
        faults.of(within(file, "[pile] reach", self.reach, reaches, expected));
        let piles = self.piles.and_then(|count| {
            let whole = usize::try_from(count).ok().filter(|n| (1..=MOST_PILES).contains(n));
            if whole.is_none() {
                let expected = format!("1 to {MOST_PILES}");
                faults.push(fault(file, "[pile] piles", count.to_string(), expected));
            }
            whole
        });
        if let Some(Written { value, system }) = self.capacity
            && value <= Mass::ZERO
        {
            let found = value.show(system, 2);
            faults.push(fault(file, "[pile] capacity", found, "a mass above 0"));
        }
        if self.place.is_some() && piles.is_some_and(|count| count > 1) {
            let expected = "piles = 1 with a place: leave one of the two out";
            faults.push(fault(file, "[pile] place", "a place for several piles", expected));
        }
        let place = self.place.map(|at| place(file, at)).transpose();
        faults.see(&place);
        let heap = self.heap(file, loaded);
        faults.see(&heap);
        faults.all()?;
        let capacity = self.capacity.map(|capacity| capacity.value);
        Ok(PileRequest { piles, capacity, place: place?, heap: heap? })
    }

    fn heap(&self, file: &str, loaded: Option<Density>) -> Result<Heap, JobError> {
        let (usual, mut faults) = (Heap::default(), Faults::default());
        let ([flat, steep], [light, heavy]) = (SLOPES, DENSITIES);
        let expected = "15 to 60 degrees";
        let repose = within(file, "[pile] repose", self.repose, flat..=steep, expected);
        let repose = faults.of(repose).flatten();
        let expected = "25 lb/ft3 to 125 lb/ft3 (400 kg/m3 to 2002 kg/m3)";
        let density =
            within(file, "[pile] bulk_density", self.bulk_density, light..=heavy, expected);
        let density = faults.of(density).flatten();
        faults.all()?;
        Ok(Heap {
            density: density.or(loaded).unwrap_or(usual.density),
            repose: repose.unwrap_or(usual.repose),
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
