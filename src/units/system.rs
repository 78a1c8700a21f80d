use std::fmt;

/// The family of units that a job is written in and printed in.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    Hash,
    serde::Serialize,
    serde::Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum System {
    /// US customary: feet, acres, short tons.
    #[default]
    Us,
    /// Metric: meters, hectares, tonnes.
    Metric,
}

impl System {
    /// What the tons of a page are; a tonne is the same everywhere.
    #[must_use]
    pub fn tons_are(self) -> Option<&'static str> {
        (self == System::Us).then_some("Tons are short tons, 2,000 lb.")
    }
}

impl fmt::Display for System {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            System::Us => "us",
            System::Metric => "metric",
        })
    }
}
