use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::warning::Gravity;

/// What somebody should look at before the map is used.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Warning {
    /// Which one it is, for programs: a code never changes.
    pub code: String,
    /// How grave it is.
    pub gravity: Gravity,
    /// What is wrong, what it does to the map, and what to do.
    pub text: String,
}
