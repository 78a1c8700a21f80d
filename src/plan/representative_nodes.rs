use geo::Coord;
use rayon::prelude::*;

use super::sampled_ground::SampledGround;
use crate::surface::Truth;

/// At most about so many places stand for the field.
const PLACES: usize = 4000;
/// Pairs of samples that may be gone through for all places together where every sample counts at
/// every place: about a second.
const PAIRS: usize = 40_000_000;

/// A node of the lattice that stands for the ground around it, with what a new sample is expected to
/// show there.
pub(super) struct RepresentativeNode {
    pub node: usize,
    pub truth: Truth,
}

/// The nodes that stand for a field, every so many rows and columns: no tier is in them, so they are
/// found once for all zones of a surface.
pub(super) fn representative_nodes(
    ground: &SampledGround,
    inside: &[bool],
) -> Vec<RepresentativeNode> {
    let SampledGround { surface, errors, lattice, nodes, .. } = ground;
    let Some(errors) = errors else { return Vec::new() };
    let count = inside.iter().filter(|inside| **inside).count();
    let samples = surface.points().len();
    let most = (PAIRS / (samples * samples).max(1)).clamp(PLACES / 10, PLACES);
    let every = (1..=count.max(1)).find(|every| count / (every * every) <= most).unwrap_or(1);
    let stands = |node: usize| {
        let (row, column) = (node / lattice.columns(), node % lattice.columns());
        row % every == 0 && column % every == 0
    };
    let wanted: Vec<(usize, f64)> = (inside.iter().zip(nodes).enumerate())
        .filter(|(node, (inside, _))| **inside && stands(*node))
        .map(|(node, (_, value))| (node, *value))
        .collect();
    let truth = |(node, value): (usize, f64)| {
        let Coord { x, y } = lattice.node(node);
        RepresentativeNode { node, truth: errors.truth_at(x, y, value) }
    };
    wanted.into_par_iter().map(truth).collect()
}
