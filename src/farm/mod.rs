//! What the fields of a farm come to together, from their totals.

mod farm_order;
mod figures;
mod order;
pub(crate) mod printed;
mod range;
mod totals;

pub use farm_order::{Deliveries, FarmOrder, SumOf};
pub use figures::{Figures, TierFigures};
pub use order::{Costs, OrderFigures, Spreading, Trucks};
pub use totals::{FarmTotals, FieldOutcome};
