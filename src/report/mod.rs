//! All that people read or look at: every sentence, table, map, chart and page.
//!
//! The room takes values and gives text; `write` makes files of that and `cli` prints it.

pub mod cautions;
pub mod charts;
mod clean_up;
mod farm_order;
mod farm_sheet;
mod farm_stops;
mod field_sheet;
mod inspection;
pub mod landing;
mod letters;
mod map;
mod order;
mod page;
mod pan_sheet;
mod pile_sheet;
mod png;
pub mod sampling;
mod setup_sheet;
pub mod start;
pub mod summary;
mod surface;
mod table;
mod text;
pub mod tons_if_certain;
pub mod warnings;

pub use farm_order::farm_order;
pub use farm_sheet::farm_sheet;
pub use field_sheet::{BesidePlan, InputFile, field_sheet};
pub use inspection::inspection;
pub(crate) use map::Grounds;
pub use map::{
    DrawnSurface, LegendEntry, MapLayer, PlanningMap, landed_svg, map_svg, sampling_map,
};
pub use pan_sheet::{comparison_sheet, pan_sheet, pan_table, swath_table};
pub(crate) use pile_sheet::size;
pub use pile_sheet::{pile_sheet, pile_summary};
pub use png::png;
pub use sampling::{sampling_sheet, worth_picture, worth_table};
pub use setup_sheet::{ConstantState, Setup, setup_sheet, setup_table};
pub use table::Table;
pub(crate) use text::{legible, short_rate};

/// Why a picture or a page could not be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct ReportError(String);

impl ReportError {
    fn new(reason: impl std::fmt::Display) -> Self {
        Self(reason.to_string())
    }
}
