//! What a soil test says: the cation-exchange capacity, and the rate that it calls for.

mod tiers;

pub use tiers::{Tier, TierError, TierSetting, Tiers, system_of};
