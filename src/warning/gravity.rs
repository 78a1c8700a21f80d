//! How grave each warning is, and its code.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use self::Gravity::{Know, Look, Stop};
use super::Warning;

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
            Self::TakenOffGround { .. } => ("taken-off-ground", Look),
            Self::TakenTwice { .. } => ("taken-twice", Look),
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
