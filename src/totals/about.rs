use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// For whom a field is planned and when, as the job says it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct About {
    /// The day of the plan, year-month-day; null where it is not said.
    pub date: Option<String>,
    /// Whose field it is; null where it is not said.
    pub grower: Option<String>,
    /// The farm that it belongs to; null where it is not said.
    pub farm: Option<String>,
    /// Where trucks drive in: longitude and latitude, WGS 84 degrees; null where it is not said.
    pub entrance: Option<[f64; 2]>,
}
