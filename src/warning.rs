//! What somebody should look at before using a plan: a value with a code that never changes, how
//! grave it is, and its data. Its sentence stands in [`crate::report::warnings`].

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::units::{Area, Length, Mass, Rate, Share, Time, Written};

/// How grave a warning is; the gravest comes first.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Gravity {
    /// It can spoil a field, a well or an order: do not spread before it is settled.
    Stop,
    /// It may be wrong: somebody who knows the field should look at it.
    Look,
    /// It was dealt with in a stated way: good to know.
    Know,
}

/// Two coordinate systems against each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SystemsApart {
    /// They put a point this far apart.
    By(Length),
    /// In one of them the coordinates have no meaning.
    Meaningless,
}

/// Where features are that are not near the field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Elsewhere {
    /// At the field, were their longitudes and latitudes swapped.
    Swapped,
    /// This far from its middle; none where there are no features.
    Away(Option<Length>),
}

/// A sample outside the boundary.
#[derive(Clone, Debug, PartialEq)]
pub struct OutsideSample {
    /// Where it was read, with its name.
    pub place: String,
    /// How far outside.
    pub distance: Length,
}

/// How far outside the boundary samples count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SampleReach {
    /// The distance.
    pub distance: Length,
    /// Whether the job says it; else it is about one sample spacing.
    pub is_set: bool,
}

/// Samples at one position with different CEC, which count as one with their mean.
#[derive(Clone, Debug, PartialEq)]
pub struct SamplesAtOnePlace {
    /// Where each was read, with its name, and its CEC.
    pub samples: Vec<(String, f64)>,
    /// The mean.
    pub mean: f64,
}

/// What somebody should look at. A `place` is a file with its row or ring; `called` is how messages
/// name a layer of the job.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the fields are what the sentences in report say they are")]
pub enum Warning {
    // Reading.
    RowDeleted {
        place: String,
    },
    CrsContradiction {
        file: String,
        setting: String,
        by: String,
        declared: String,
        apart: SystemsApart,
    },
    NoResult {
        points: String,
        laboratory: String,
        ids: Vec<String>,
    },
    NoPoint {
        points: String,
        laboratory: String,
        ids: Vec<String>,
    },
    SamplesOfOtherFields {
        file: String,
        samples: usize,
        fields: Vec<String>,
    },
    NoId {
        place: String,
    },
    NoPosition {
        place: String,
    },
    CecInBothTables {
        samples: String,
        laboratory: String,
    },
    CecNotSummed {
        file: String,
        column: String,
    },
    CecConverted {
        file: String,
        column: String,
        unit: String,
        factor: f64,
    },
    CationsWithoutUnit {
        file: String,
        columns: Vec<String>,
    },
    CationsUnclear {
        reason: String,
    },
    CecContradicted {
        file: String,
        share: f64,
        with_acidity: bool,
    },
    BasesOverCec {
        file: String,
        share: f64,
    },
    SodiumNotMeasured {
        file: String,
    },
    RowsIncomplete {
        file: String,
        rows: usize,
    },
    NoSamples {
        file: String,
        cells: Vec<String>,
    },
    DepthTaken {
        file: String,
        taken: Vec<String>,
        others: Vec<String>,
        rows: usize,
    },
    ResultMissing {
        place: String,
        cells: Vec<String>,
    },
    ResultAboveRange {
        place: String,
        cells: Vec<String>,
    },
    ResultBelowDetection {
        place: String,
        cells: Vec<String>,
        used: Option<Share>,
    },
    IdsMatched {
        points: String,
        laboratory: String,
        how: &'static str,
        point: String,
        result: String,
    },
    // The boundary.
    NoShape {
        place: String,
    },
    RingClosed {
        place: String,
    },
    TaskDataIncomplete {
        place: String,
        reason: String,
    },
    /// Lines and points beside the polygons of a boundary file.
    OtherShapes {
        file: String,
        shapes: Vec<String>,
    },
    PolygonsWithoutNames {
        file: String,
        polygons: usize,
    },
    Merged {
        file: String,
        polygons: usize,
        before: Area,
        after: Area,
        pieces: usize,
    },
    MergedCutOut {
        file: String,
        polygon: usize,
        area: Area,
        within: Vec<usize>,
    },
    MergedOverlap {
        file: String,
        first: usize,
        second: usize,
        area: Area,
    },
    MergedGaps {
        file: String,
        gaps: usize,
        smallest: Area,
    },
    // The soil test.
    NoCec {
        place: String,
    },
    SamplesOutside {
        samples: Vec<OutsideSample>,
        reach: SampleReach,
    },
    SamplesTooFar {
        samples: Vec<OutsideSample>,
        reach: SampleReach,
        enough: Option<Length>,
    },
    SameSampleTwice {
        places: Vec<Vec<String>>,
    },
    SamplesAveraged {
        places: Vec<SamplesAtOnePlace>,
    },
    IdShared {
        ids: Vec<(String, Vec<String>)>,
    },
    ExcludedIdShared {
        id: String,
        places: Vec<String>,
    },
    OneCec {
        samples: usize,
        cec: f64,
    },
    CecImplausible {
        median: f64,
    },
    SampleUnlikeNeighbors {
        id: String,
        cec: f64,
        neighbors_say: f64,
        mass: Mass,
    },
    SodicSoil {
        over: Share,
        samples: Vec<String>,
    },
    MagnesiumShort {
        samples: Vec<String>,
    },
    /// Dates that are not year-month-day were read in one order of day and month.
    DatesRead {
        place: String,
        month_first: bool,
        /// Whether a number over 12 shows the order.
        is_shown: bool,
    },
    // Layers.
    KeepOutCovered {
        called: String,
        distance: Written<Length>,
    },
    KeepOutWithoutArea {
        called: String,
    },
    /// Some features of a layer have their longitudes and latitudes swapped.
    FeaturesSwapped {
        called: String,
        features: usize,
        of: usize,
    },
    KeepOutMissing {
        called: String,
        distance: Written<Length>,
        elsewhere: Elsewhere,
    },
    /// A layer that a farm keeps all of its fields from has no part near this one.
    FarmKeepOutElsewhere {
        called: String,
        distance: Written<Length>,
    },
    /// A layer whose rate is set has no part in the field.
    SetRateMissing {
        called: String,
        elsewhere: Elsewhere,
    },
    /// What it has of the field is kept out, or has its rate set already.
    SetRateCovered {
        called: String,
    },
    SetbackMissing {
        called: String,
        elsewhere: Elsewhere,
    },
    SetbackSpreadOver {
        called: String,
        why: String,
        points: usize,
        length: Length,
        area: Area,
    },
    /// Each hole by its area, longitude and latitude.
    HoleNotKeptOff {
        holes: Vec<(Area, [f64; 2])>,
    },
    // Rates and the spreader. Rates are of product; `pure` is what one is of pure gypsum, where the
    // job says that.
    /// More than a trace lands on a keep-out, as what lands was reckoned.
    LandsOnKeepOut {
        /// What it is kept from.
        why: String,
        /// How far.
        distance: Length,
        /// The highest rate on it.
        highest: Rate,
        /// All that lands on it.
        mass: Mass,
        /// The distance that would keep it clean; none in reach where there is none.
        needed: Option<Length>,
        /// The same with another look-ahead, where that is less.
        with_look_ahead: Option<(Time, Length)>,
    },
    /// A tier gets less than the one below it.
    RateFalls {
        under: String,
        most: Rate,
        over: String,
        least: Rate,
    },
    RateLimited {
        tier: String,
        found: Rate,
        pure: Option<Rate>,
        limit: &'static str,
        planned: Rate,
    },
    RateHigh {
        what: String,
        rate: Rate,
        pure: Option<Rate>,
    },
    WeighTestsFew {
        file: String,
        machine: String,
        material: String,
        tests: usize,
    },
    /// The pans caught another rate than was meant.
    PansOffTarget {
        test: String,
        caught: Rate,
        target: Rate,
        off: Share,
    },
    /// By the pan test the pattern is uneven at the swath that is driven.
    PansUneven {
        test: String,
        swath: Length,
        cv: Share,
        limit: Share,
    },
    SwathDiffers {
        job: Length,
        spreader: Length,
    },
    MachineImplausible {
        place: String,
        found: String,
        expected: String,
    },
    // What came back from the machine.
    LogCut {
        place: String,
        records: usize,
        share: f64,
    },
    LogWithoutPositions {
        place: String,
        records: usize,
        all: usize,
    },
    // The map.
    MapNoBetterThanMean {
        r2: f64,
        rate: Rate,
        cec_mean: f64,
        mass: Mass,
    },
    TooFewToJudge {
        samples: usize,
        expected: usize,
    },
    TooThinToWrite {
        pieces: usize,
    },
    // The pile.
    PileUnchecked,
    PilePlaceRefused {
        faults: Vec<String>,
        best_used: bool,
    },
    NoPilePlace {
        faults: Vec<String>,
    },
}

use Gravity::{Know, Look, Stop};

/// A pan test off its target by more than this, in percent, says that the machine is not set (common
/// practice, no source).
const FAR_OFF: f64 = 25.0;

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
            Self::SamplesOfOtherFields { .. } => ("samples-of-other-fields", Know),
            Self::NoId { .. } => ("row-without-id", Look),
            Self::NoPosition { .. } => ("row-without-position", Look),
            Self::CecInBothTables { .. } => ("cec-in-both-tables", Look),
            Self::CecNotSummed { .. } => ("cec-not-summed", Know),
            Self::CecConverted { .. } => ("cec-converted", Know),
            Self::CationsWithoutUnit { .. } => ("cations-without-unit", Look),
            Self::CationsUnclear { .. } => ("cations-unclear", Look),
            Self::CecContradicted { .. } => ("cec-contradicted", Stop),
            Self::BasesOverCec { .. } => ("bases-over-cec", Look),
            Self::SodiumNotMeasured { .. } => ("sodium-not-measured", Know),
            Self::RowsIncomplete { .. } => ("rows-incomplete", Look),
            Self::NoSamples { .. } => ("rows-no-samples", Know),
            Self::DepthTaken { .. } => ("depth-taken", Know),
            Self::ResultMissing { .. } => ("result-missing", Look),
            Self::ResultAboveRange { .. } => ("result-above-range", Look),
            Self::ResultBelowDetection { .. } => ("result-below-detection", Look),
            Self::IdsMatched { .. } => ("ids-matched-by-rule", Look),
            Self::NoShape { .. } => ("record-without-shape", Look),
            Self::RingClosed { .. } => ("ring-closed", Know),
            Self::TaskDataIncomplete { .. } => ("task-data-incomplete", Look),
            Self::OtherShapes { .. } => ("other-shapes", Look),
            Self::PolygonsWithoutNames { .. } => ("polygons-without-names", Look),
            Self::Merged { .. } => ("merged", Look),
            Self::MergedCutOut { .. } => ("merged-cut-out", Look),
            Self::MergedOverlap { .. } => ("merged-overlap", Look),
            Self::MergedGaps { .. } => ("merged-gaps", Look),
            Self::NoCec { .. } => ("sample-without-cec", Look),
            Self::SamplesOutside { .. } => ("sample-outside", Know),
            Self::SamplesTooFar { reach, .. } => {
                ("sample-too-far", if reach.is_set { Know } else { Look })
            }
            Self::SameSampleTwice { .. } => ("same-sample-twice", Know),
            Self::SamplesAveraged { .. } => ("samples-averaged", Know),
            Self::IdShared { .. } => ("id-shared", Look),
            Self::ExcludedIdShared { .. } => ("excluded-id-shared", Look),
            Self::OneCec { .. } => ("one-cec", Stop),
            Self::CecImplausible { .. } => ("cec-implausible", Stop),
            Self::SampleUnlikeNeighbors { .. } => ("sample-unlike-neighbors", Look),
            Self::SodicSoil { .. } => ("sodic-soil", Stop),
            Self::MagnesiumShort { .. } => ("magnesium-short", Look),
            Self::KeepOutCovered { .. } => ("keep-out-covered", Know),
            Self::KeepOutWithoutArea { .. } => ("keep-out-without-area", Stop),
            Self::FeaturesSwapped { .. } => ("features-swapped", Stop),
            Self::DatesRead { is_shown, .. } => ("dates-read", if *is_shown { Know } else { Look }),
            Self::KeepOutMissing { .. } => ("keep-out-missing", Stop),
            Self::FarmKeepOutElsewhere { .. } => ("farm-keep-out-elsewhere", Know),
            Self::SetRateMissing { .. } => ("set-rate-missing", Stop),
            Self::SetRateCovered { .. } => ("set-rate-covered", Look),
            Self::SetbackMissing { .. } => ("setback-missing", Stop),
            Self::SetbackSpreadOver { .. } => ("setback-spread-over", Stop),
            Self::HoleNotKeptOff { .. } => ("hole-not-kept-off", Stop),
            Self::PileUnchecked => ("pile-unchecked", Stop),
            Self::LandsOnKeepOut { .. } => ("lands-on-keep-out", Look),
            Self::RateFalls { .. } => ("rate-falls", Look),
            Self::PansOffTarget { off, .. } => {
                ("pans-off-target", if off.as_percent().abs() > FAR_OFF { Stop } else { Look })
            }
            Self::PansUneven { .. } => ("pans-uneven", Look),
            Self::RateLimited { .. } => ("rate-limited", Look),
            Self::RateHigh { .. } => ("rate-high", Look),
            Self::WeighTestsFew { .. } => ("weigh-tests-few", Know),
            Self::SwathDiffers { .. } => ("swath-differs", Look),
            Self::MachineImplausible { .. } => ("machine-implausible", Look),
            Self::LogCut { .. } => ("log-cut", Look),
            Self::LogWithoutPositions { .. } => ("log-without-positions", Look),
            Self::MapNoBetterThanMean { .. } => ("map-no-better-than-mean", Stop),
            Self::TooFewToJudge { .. } => ("too-few-to-judge", Look),
            Self::TooThinToWrite { .. } => ("too-thin-to-write", Know),
            Self::PilePlaceRefused { .. } => ("pile-place-refused", Look),
            Self::NoPilePlace { .. } => ("no-pile-place", Look),
        }
    }
}

/// The gravest first; those of one gravity in the order they were found.
pub fn by_gravity(warnings: &mut [Warning]) {
    warnings.sort_by_key(Warning::gravity);
}
