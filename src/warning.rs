//! What somebody should look at before using a plan: a value with a code that never changes, how
//! grave it is, and its data. Its sentence stands in [`crate::report::warnings`].

mod details;
mod gravity;

pub use details::{Elsewhere, OutsideSample, SampleReach, SamplesAtOnePlace, SystemsApart};
pub use gravity::{Gravity, by_gravity};

use crate::units::{Area, Length, Mass, Rate, Share, Time, Written};

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
    TakenOffGround {
        ids: Vec<String>,
        within: Length,
    },
    TakenTwice {
        ids: Vec<String>,
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
