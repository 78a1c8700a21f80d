use super::{GateTier, Limits};
use crate::spreader::Range;
use crate::units::{Length, Quantity, Share};

/// Share of the belt's top speed that a recommendation leaves free at the heaviest tier and the
/// fastest ground speed (common practice, no source).
pub const MARGIN: Share = Share::percent(10.0);

/// One opening for the whole field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recommendation {
    /// All openings that serve every tier at every ground speed.
    pub serves: Range<Length>,
    /// The one recommended: the lowest that leaves the margin, since a low, full, fast stream
    /// spreads evenly where a high, slow one pulses.
    pub opening: Length,
    /// Share of the belt's top speed that it leaves free. Under [`MARGIN`] where no opening that
    /// serves leaves more at both ends.
    pub margin: Share,
}

/// The recommended opening, where one serves.
pub(super) fn recommend(limits: &Limits, tiers: &[GateTier]) -> Option<Recommendation> {
    let bounds = limits.openings(tiers);
    let serves = limits.within_gate(bounds)?;
    let with_margin = bounds.least / (1.0 - MARGIN.si());
    let lowest = Length::from_si(with_margin.si().max(serves.least.si()));
    let opening = if lowest <= serves.most {
        limits.on_a_mark(lowest, serves)
    } else {
        // No room for the margin: what room there is is shared between the two ends.
        let middle = (serves.least.si() * serves.most.si()).sqrt();
        let middle = middle.clamp(serves.least.si(), serves.most.si());
        limits.on_a_mark(Length::from_si(middle), serves)
    };
    let margin = Share::from_si(1.0 - bounds.least / opening);
    Some(Recommendation { serves, opening, margin })
}
