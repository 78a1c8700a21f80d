//! What a soil test says: the cation-exchange capacity, the rate that it calls for, and what else
//! there is to mind: base saturation, magnesium, sodium.

mod cations;
mod limits;
mod magnesium;
mod saturation;
mod sodic;
mod tier_index;
mod tier_text;
mod tiers;

pub use cations::{CationUnit, Cations, Element, buffer_acidity};
pub use limits::{PLAUSIBLE_MOST, RateLimits, high_mean, high_tiers};
pub use magnesium::{LEAST_MAGNESIUM, LOW_CEC, is_short_of_magnesium, magnesium_at_risk};
pub use saturation::Saturation;
pub use sodic::SodicLayer;
pub use tier_index::TierIndex;
pub use tier_text::TierTextError;
pub use tiers::{Tier, TierError, TierSetting, Tiers};
