use super::Surfaced;
use super::representative_nodes::RepresentativeNode;
use crate::certainty::tier_odds;
use crate::soil::Tiers;

/// The odds of each tier at the nodes that stand for the field.
pub(super) fn node_odds(surfaced: &Surfaced, tiers: &Tiers) -> Vec<(usize, Vec<f64>)> {
    let odds =
        |RepresentativeNode { node, truth }: &RepresentativeNode| (*node, tier_odds(*truth, tiers));
    surfaced.representatives.iter().map(odds).collect()
}
