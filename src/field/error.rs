use std::fmt;

use super::Sample;
use super::distance::show;
use crate::faults::{self, fault};

/// Which ring of which part of a boundary, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RingPlace {
    /// The part.
    pub part: usize,
    /// The ring within the part: 1 is the outer one, the others are holes.
    pub ring: usize,
}

impl fmt::Display for RingPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.ring {
            1 => write!(f, "part {}, outer ring", self.part),
            ring => write!(f, "part {}, hole {}", self.part, ring - 1),
        }
    }
}

/// Why a boundary is not sound. Positions are WGS84 longitude and latitude in degrees.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum BoundaryError {
    #[error("{file}: found no polygon, expected a field boundary")]
    Empty { file: String },
    #[error("{file}, {ring}: found {found} different points, expected at least 3")]
    TooFewPoints { file: String, ring: RingPlace, found: usize },
    #[error(
        "{file}, {ring}: the ring is not closed, it starts at {start} and ends at {end}; repeat the first point at the end"
    )]
    NotClosed { file: String, ring: RingPlace, start: String, end: String },
    #[error("{file}, {ring}: found a coordinate that is not a finite number")]
    NotFinite { file: String, ring: RingPlace },
    #[error(
        "{file}, {ring}: found {at}, expected longitude -180 to 180 and latitude -90 to 90; if the coordinates are feet or meters, say which coordinate system they are in (crs)"
    )]
    NotDegrees { file: String, ring: RingPlace, at: String },
    #[error(
        "{file}, {ring}: found {at}, longitude and latitude look swapped; expected longitude first, and a latitude between 60 S and 72 N"
    )]
    Swapped { file: String, ring: RingPlace, at: String },
    #[error("{file}, {ring}: found latitude {latitude:.4}, expected a field between 60 S and 72 N")]
    NoFarmland { file: String, ring: RingPlace, latitude: f64 },
    #[error("{file}, {ring}: the ring has no area")]
    NoArea { file: String, ring: RingPlace },
    #[error("{file}, {ring}: the ring crosses or touches itself at {at}; mend it there")]
    SelfCrossing { file: String, ring: RingPlace, at: String },
    #[error("{file}: {first} and {second} cross or share an edge at {at}; mend them there")]
    RingsCross { file: String, first: RingPlace, second: RingPlace, at: String },
    #[error(
        "{file}: parts {first} and {second} overlap or share an edge at {at}; merge them first, or let merge = true in the boundary's table do it"
    )]
    PartsCross { file: String, first: usize, second: usize, at: String },
    #[error(
        "{file}: part {inner} lies inside part {outer}; remove one, or make it a hole, as merge = true in the boundary's table does"
    )]
    PartInPart { file: String, inner: usize, outer: usize },
    #[error("{file}, {ring}: the hole lies outside its outer ring or inside another hole")]
    HoleMisplaced { file: String, ring: RingPlace },
    #[error("{file}: the polygons are not sound: {reason}; mend them")]
    Unsound { file: String, reason: String },
    #[error(
        "{file}: the boundary is {} wide, expected one field of at most {}; check the coordinate system", show(*width), show(*limit)
    )]
    TooWide { file: String, width: f64, limit: f64 },
}

impl BoundaryError {
    /// The error of a part that was looked at alone, which is the `number`-th.
    pub(super) fn of_part(mut self, number: usize) -> Self {
        match &mut self {
            Self::TooFewPoints { ring, .. }
            | Self::NotClosed { ring, .. }
            | Self::NotFinite { ring, .. }
            | Self::NotDegrees { ring, .. }
            | Self::Swapped { ring, .. }
            | Self::NoFarmland { ring, .. }
            | Self::NoArea { ring, .. }
            | Self::SelfCrossing { ring, .. }
            | Self::HoleMisplaced { ring, .. } => ring.part = number,
            Self::RingsCross { first, second, .. } => (first.part, second.part) = (number, number),
            Self::Empty { .. }
            | Self::PartsCross { .. }
            | Self::PartInPart { .. }
            | Self::Unsound { .. }
            | Self::TooWide { .. } => {}
        }
        self
    }
}

/// Why samples are not sound.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum SampleError {
    #[error("{place}: found CEC {value}, expected more than 0 meq/100 g")]
    NotPositive { place: String, value: f64 },
    #[error(
        "{place}: found CEC {value}, expected at most 100 meq/100 g; is it in another unit? then write it into the header, or say cec_unit = \"mmol(c)/kg\""
    )]
    TooHigh { place: String, value: f64 },
    #[error(
        "{place}: found a position that is not a longitude and latitude: {longitude}, {latitude}"
    )]
    NotDegrees { place: String, longitude: f64, latitude: f64 },
    #[error(
        "{place}: the sample lies {} outside the boundary, more than the field's width of {}{}",
        show(*distance), show(*width),
        if *swapped { "; swapping longitude and latitude would put it inside the field" } else { "; check the coordinate system and the field" }
    )]
    FarOutside { place: String, distance: f64, width: f64, swapped: bool },
    #[error(
        "{place}: found longitude {longitude}, on the other side of the world; is {} meant?", -longitude
    )]
    OtherSide { place: String, longitude: f64 },
    #[error(
        "{place}: found latitude {latitude}; swapping longitude and latitude would put it inside the field"
    )]
    Swapped { place: String, longitude: f64, latitude: f64 },
    #[error(
        "{}: the same id at the same position with different CEC; keep one of each",
        all_of(all)
    )]
    Contradictions { all: Vec<Contradiction> },
    #[error("found {found} usable {}, expected at least 3", if *found == 1 { "sample" } else { "samples" })]
    TooFew { found: usize },
    #[error(
        "found no sample inside the boundary, expected some; check that boundary and samples are of one field"
    )]
    NoneInside,
    #[error(
        "found no CEC in any of the {samples} samples inside the boundary, expected results; fill in the laboratory's, or name the column that has them"
    )]
    NoResults { samples: usize },
    #[error("{}", faults::lines(.0))]
    Several(Vec<SampleError>),
}

fault!(SampleError::Several);

/// Samples of one id at one position that differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Contradiction {
    /// Where each was read, with its name, and its CEC.
    pub samples: Vec<(String, f64)>,
}

impl Contradiction {
    /// Those of samples at one position, by id.
    pub(super) fn of(group: &[Sample]) -> Vec<Self> {
        let id = |sample: &Sample| sample.id.trim().to_lowercase();
        let mut ids: Vec<String> = group.iter().map(id).filter(|id| !id.is_empty()).collect();
        ids.sort_unstable();
        ids.dedup();
        let same = |of: &String| {
            let samples = group.iter().filter(|sample| id(sample) == *of);
            samples.map(|sample| (sample.shown(), sample.cec)).collect::<Vec<_>>()
        };
        let all = ids.iter().map(|id| Self { samples: same(id) });
        all.filter(|one| {
            one.samples.iter().any(|(_, cec)| Some(cec) != one.samples.first().map(|s| &s.1))
        })
        .collect()
    }
}

fn all_of(all: &[Contradiction]) -> String {
    let one = |one: &Contradiction| {
        let places = and(one.samples.iter().map(|(place, _)| place.clone()));
        format!("{places} (CEC {})", and(one.samples.iter().map(|(_, cec)| cec.to_string())))
    };
    all.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// Things with commas between them, the last with "and".
fn and(things: impl Iterator<Item = String>) -> String {
    let mut things: Vec<String> = things.collect();
    let last = things.pop().unwrap_or_default();
    if things.is_empty() { last } else { format!("{} and {last}", things.join(", ")) }
}
