//! What a soil test says: the cation-exchange capacity, and the rate that it calls for.

mod cations;
mod limits;
mod tiers;

pub use cations::{CationUnit, Cations, Element, buffer_acidity};
pub use limits::{RateLimits, high_mean, high_tiers};
pub use tiers::{Tier, TierError, TierSetting, Tiers};
