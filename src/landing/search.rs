use rayon::prelude::*;

use super::against_zones::Ledger;
use super::{Course, DrivenField, Response, Scene, SpreaderAtWork};
use crate::units::{Length, Time};

/// A setting that was tried, and the mass that it misplaces: what is short and what is over, kg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LandingTrial<T> {
    /// What was set.
    pub setting: T,
    /// kg.
    pub misplaced: f64,
}

/// The trial that misplaces least; of equal ones the first.
#[must_use]
pub fn least_misplaced<T: Copy>(trials: &[LandingTrial<T>]) -> Option<LandingTrial<T>> {
    trials.iter().copied().min_by(|a, b| a.misplaced.total_cmp(&b.misplaced))
}

/// The longest lead that is tried, in seconds; controllers offer less (common practice, no source).
const LONGEST_LEAD_S: u32 = 10;

/// The lead that misplaces least, to a twentieth of a second: tried each half second first, and
/// around the best of these again.
#[must_use]
pub fn best_lead(
    driven: &DrivenField,
    spreading: &SpreaderAtWork,
    side: Length,
) -> Option<LandingTrial<Time>> {
    let cells = driven.spread(spreading, side);
    let ledger = Ledger::new(&driven.ground, &cells);
    let tried = |twentieths: u32| {
        let lead = Time::seconds(f64::from(twentieths) / 20.0);
        let response = Response { lead, ..spreading.response };
        let cells = driven.spread(&SpreaderAtWork { response, ..spreading.clone() }, side);
        LandingTrial { setting: twentieths, misplaced: ledger.misplaced(&cells) }
    };
    let coarse: Vec<LandingTrial<u32>> =
        (0..=2 * LONGEST_LEAD_S).into_par_iter().map(|half| tried(10 * half)).collect();
    let around = least_misplaced(&coarse)?.setting;
    let fine: Vec<LandingTrial<u32>> =
        (around.saturating_sub(9)..=around + 9).into_par_iter().map(tried).collect();
    let best = least_misplaced(&fine)?;
    let lead = Time::seconds(f64::from(best.setting) / 20.0);
    Some(LandingTrial { setting: lead, misplaced: best.misplaced })
}

/// Headings each so many degrees, over half a turn: driven back and forth, the other half is the same.
const HEADING_STEP_DEG: u32 = 5;

/// What each heading misplaces, radians clockwise from north: those that are given, and all around.
#[must_use]
pub fn headings(
    scene: &Scene,
    given: &[f64],
    course: &Course,
    spreading: &SpreaderAtWork,
    side: Length,
) -> Vec<LandingTrial<f64>> {
    let around = (0..180 / HEADING_STEP_DEG).map(|i| f64::from(i * HEADING_STEP_DEG).to_radians());
    let all: Vec<f64> = given.iter().copied().chain(around).collect();
    all.into_par_iter()
        .map(|heading| {
            let driven = scene.driven(heading, course);
            let cells = driven.spread(spreading, side);
            let misplaced = Ledger::new(&driven.ground, &cells).misplaced(&cells);
            LandingTrial { setting: heading, misplaced }
        })
        .collect()
}
