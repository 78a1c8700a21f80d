//! What somebody should look at before using a plan: a value with a code that never changes, how
//! grave it is, and its data. Its sentence stands in [`crate::report::warnings`].

use crate::units::{Area, Length, Mass, Rate, Share, Written};

/// How grave a warning is; the gravest comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gravity {
    /// It can spoil a field, a well or an order: do not spread before it is settled.
    Stop,
    /// It may be wrong: somebody who knows the field should look at it.
    Look,
    /// It was dealt with in a stated way: good to know.
    Know,
}

impl Gravity {
    /// As it is written in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Gravity::Stop => "stop",
            Gravity::Look => "look",
            Gravity::Know => "know",
        }
    }
}

/// Two coordinate systems against each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Apart {
    /// They put a point this far apart.
    By(Length),
    /// In one of them the coordinates have no meaning.
    Meaningless,
}

/// What somebody should look at. A `place` is a file with its row or ring; `called` is how messages
/// name a layer of the job.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the fields are what the sentences in report say they are")]
pub enum Warning {
    // Reading.
    RowDeleted { place: String },
    CrsContradiction { file: String, setting: String, by: String, declared: String, apart: Apart },
    NoResult { points: String, laboratory: String, ids: Vec<String> },
    NoPoint { points: String, laboratory: String, ids: Vec<String> },
    NoId { place: String },
    NoPosition { place: String },
    CecInBothTables { samples: String, laboratory: String },
    CecNotSummed { file: String, column: String },
    SodiumNotMeasured { file: String },
    RowsIncomplete { file: String, rows: usize },
    // The boundary.
    NoShape { place: String },
    RingClosed { place: String },
    TaskDataIncomplete { place: String, reason: String },
    PolygonsWithoutNames { file: String, polygons: usize },
    Merged { file: String, polygons: usize, before: Area, after: Area, pieces: usize },
    MergedCutOut { file: String, polygon: usize, area: Area, within: Vec<usize> },
    MergedOverlap { file: String, first: usize, second: usize, area: Area },
    MergedGaps { file: String, gaps: usize, smallest: Area },
    // The soil test.
    NoCec { place: String },
    SampleOutside { place: String, distance: Length },
    SameSampleTwice { first: String, second: String },
    ExcludedIdShared { id: String, places: Vec<String> },
    OneCec { samples: usize, cec: f64 },
    SodicSoil { over: Share, samples: Vec<String> },
    MagnesiumShort { samples: Vec<String> },
    // Layers.
    KeepOutCovered { called: String, distance: Written<Length> },
    KeepOutWithoutArea { called: String },
    KeepOutMissing { called: String, distance: Written<Length> },
    SetbackMissing { called: String },
    // Rates and the spreader.
    RateLimited { tier: String, found: Rate, limit: &'static str, planned: Rate },
    RateHigh { what: String, rate: Rate },
    SwathDiffers { job: Length, spreader: Length },
    MachineImplausible { place: String, found: String, expected: String },
    // The map.
    MapNoBetterThanMean { r2: f64, rate: Rate, cec_mean: f64, mass: Mass },
    TooFewToJudge { samples: usize, expected: usize },
    // The pile.
    PilePlaceRefused { faults: Vec<String>, best_used: bool },
    NoPilePlace { faults: Vec<String> },
}

use Gravity::{Know, Look, Stop};

impl Warning {
    /// Its code, which never changes, for programs.
    #[must_use]
    pub fn code(&self) -> &'static str {
        self.kind().0
    }

    /// How grave it is.
    #[must_use]
    pub fn gravity(&self) -> Gravity {
        self.kind().1
    }

    fn kind(&self) -> (&'static str, Gravity) {
        match self {
            Self::RowDeleted { .. } => ("row-deleted", Know),
            Self::CrsContradiction { .. } => ("crs-contradiction", Look),
            Self::NoResult { .. } => ("point-without-result", Look),
            Self::NoPoint { .. } => ("result-without-point", Look),
            Self::NoId { .. } => ("row-without-id", Look),
            Self::NoPosition { .. } => ("row-without-position", Look),
            Self::CecInBothTables { .. } => ("cec-in-both-tables", Look),
            Self::CecNotSummed { .. } => ("cec-not-summed", Know),
            Self::SodiumNotMeasured { .. } => ("sodium-not-measured", Know),
            Self::RowsIncomplete { .. } => ("rows-incomplete", Look),
            Self::NoShape { .. } => ("record-without-shape", Look),
            Self::RingClosed { .. } => ("ring-closed", Know),
            Self::TaskDataIncomplete { .. } => ("task-data-incomplete", Look),
            Self::PolygonsWithoutNames { .. } => ("polygons-without-names", Look),
            Self::Merged { .. } => ("merged", Look),
            Self::MergedCutOut { .. } => ("merged-cut-out", Look),
            Self::MergedOverlap { .. } => ("merged-overlap", Look),
            Self::MergedGaps { .. } => ("merged-gaps", Look),
            Self::NoCec { .. } => ("sample-without-cec", Look),
            Self::SampleOutside { .. } => ("sample-outside", Know),
            Self::SameSampleTwice { .. } => ("same-sample-twice", Know),
            Self::ExcludedIdShared { .. } => ("excluded-id-shared", Look),
            Self::OneCec { .. } => ("one-cec", Stop),
            Self::SodicSoil { .. } => ("sodic-soil", Stop),
            Self::MagnesiumShort { .. } => ("magnesium-short", Look),
            Self::KeepOutCovered { .. } => ("keep-out-covered", Know),
            Self::KeepOutWithoutArea { .. } => ("keep-out-without-area", Stop),
            Self::KeepOutMissing { .. } => ("keep-out-missing", Stop),
            Self::SetbackMissing { .. } => ("setback-missing", Stop),
            Self::RateLimited { .. } => ("rate-limited", Look),
            Self::RateHigh { .. } => ("rate-high", Look),
            Self::SwathDiffers { .. } => ("swath-differs", Look),
            Self::MachineImplausible { .. } => ("machine-implausible", Look),
            Self::MapNoBetterThanMean { .. } => ("map-no-better-than-mean", Stop),
            Self::TooFewToJudge { .. } => ("too-few-to-judge", Look),
            Self::PilePlaceRefused { .. } => ("pile-place-refused", Look),
            Self::NoPilePlace { .. } => ("no-pile-place", Look),
        }
    }
}

/// The gravest first; those of one gravity in the order they were found.
pub fn by_gravity(warnings: &mut [Warning]) {
    warnings.sort_by_key(Warning::gravity);
}
