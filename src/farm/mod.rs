//! What the fields of a farm come to together, from their totals.

mod csv;
mod farm_order;
mod field_map;
mod figures;
mod json;
mod order;
mod order_json;
mod order_lines;
mod printed;
mod range;
mod sheet;
mod totals;

pub use farm_order::{Deliveries, FarmOrder, OneLess, SumOf};
pub use field_map::{FieldMap, Ground, PilePlace};
pub use figures::{Figures, TierFigures};
pub use order::{Costs, OrderFigures, Spreading, Trucks};
pub use order_lines::order_lines;
pub use totals::{FarmTotals, FieldOutcome};

use crate::write::{FormatError, OutputFile};

/// The files of a farm's own folder.
///
/// # Errors
/// When a value does not fit a format's limits.
pub fn files(totals: &FarmTotals) -> Result<Vec<OutputFile>, FormatError> {
    Ok(vec![json::file(totals)?, csv::file(totals)?, sheet::file(totals)?])
}

pub use json::totals;
