//! What the fields of a farm come to together, from their totals.

mod farm_order;
mod field_map;
mod figures;
mod order;
pub(crate) mod printed;
mod range;
mod rounded;
mod totals;

pub use farm_order::{Deliveries, FarmOrder, OneLess, SumOf};
pub use field_map::{FieldMap, PilePlace, ZoneGround};
pub use figures::{Figures, TierFigures};
pub use order::{Costs, FarmTrucks, OrderFigures, SpreaderWork};
pub use totals::{FarmTotals, FieldOutcome};
