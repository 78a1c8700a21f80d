/// Where a part goes that is too narrow or too small for a zone of its own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Prefer {
    /// To the zone nearest by, or with the longest common border.
    #[default]
    Nearest,
    /// To the neighbor of the highest tier: nowhere is under-applied.
    Higher,
    /// To the neighbor of the lowest tier.
    Lower,
}
