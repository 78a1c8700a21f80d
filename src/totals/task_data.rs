use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{AcresLeft, AcresMoved, InUnits};

/// The task data that was written (ISO 11783-10).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TaskData {
    /// The version of the standard.
    pub version: u8,
    /// What holds the rates.
    pub form: TaskForm,
    /// The grid; its keys are absent where the rates are not in one.
    #[serde(flatten)]
    pub grid: Option<Grid>,
    /// What `max_vertices` moves; its key is absent where the rates are in a grid.
    #[serde(flatten)]
    pub moved: Option<InUnits<AcresMoved>>,
    /// The material for the zones or cells as written.
    pub mass: f64,
    /// The unit of `mass`.
    pub mass_unit: String,
    /// How far that is from the plan, percent.
    pub difference_percent: f64,
    /// The rate while the receiver has no position.
    pub position_lost_rate: f64,
    /// The unit of that rate.
    pub rate_unit: String,
}

/// What holds the rates of task data.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum TaskForm {
    /// The zones' polygons.
    #[serde(rename = "zones")]
    Zones,
    /// A grid of zone numbers.
    #[serde(rename = "zone grid")]
    ZoneGrid,
    /// A grid of rates.
    #[serde(rename = "rate grid")]
    RateGrid,
}

/// The grid of task data.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Grid {
    /// A cell's sides.
    pub cell: f64,
    /// The unit of `cell`.
    pub cell_unit: String,
    /// Cells from west to east.
    pub columns: usize,
    /// Cells from south to north.
    pub rows: usize,
    /// What is to be spread and is not.
    #[serde(flatten)]
    pub left: InUnits<AcresLeft>,
    /// Why the tons are more than 0.5 % off the plan; null where they are not.
    pub difference_reason: Option<String>,
}
