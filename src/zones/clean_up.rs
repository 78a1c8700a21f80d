//! Zones that a spreader can drive: nothing narrower than its swath, no island, even borders.

use super::level::{Between, Classes};
use super::merge::merge_small;
use super::mesh::Mesh;
use super::opening::open;
use super::partition::{KEEP_OUT, Partition, cut};
use crate::geometry::{Face, smoothed};

/// Where a part goes that is too narrow or too small for a zone of its own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Prefer {
    /// To the zone nearest by, or with the longest common border.
    #[default]
    Nearest,
    /// To the neighbour of the highest tier: nowhere is under-applied.
    Higher,
    /// To the neighbour of the lowest tier.
    Lower,
}

/// What a zone must be, in metres and square metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drivable {
    /// The least area of a zone.
    pub min_zone: f64,
    /// The least width of any part of a zone.
    pub min_width: f64,
    /// How far a border may move when it is smoothed.
    pub tolerance: f64,
    /// Where what is under these goes.
    pub prefer: Prefer,
}

/// Cuts the field into drivable zones.
///
/// Narrow parts go by a morphological opening of all classes at once on the lattice;
/// zones under the least area are joined to a neighbour; then each border is smoothed and
/// simplified once for both its sides. A part of the field that is itself smaller or narrower than
/// asked stays one zone. `values` and `classes` are the surface and the class at each vertex of the
/// mesh, `raw` the partition by them.
#[must_use]
pub fn clean_up(
    raw: &Partition,
    mesh: &Mesh,
    values: &[f64],
    classes: &[u32],
    surface: &impl Classes,
    drivable: &Drivable,
) -> Partition {
    let Drivable { min_zone, min_width, tolerance, prefer } = *drivable;
    // What smoothing may take from both sides is added beforehand.
    let opened = open(mesh, classes, min_width + tolerance, prefer);
    let mut pieces = cut(mesh, values, &opened, Between::OneBorder, surface, Some(raw));
    pieces.coverage = merge_small(pieces.coverage, min_zone, prefer);
    let fixed = |id: u32| (id as usize) < mesh.extras.len();
    pieces.coverage = smoothed(&pieces.coverage, fixed, is_spread, tolerance);
    pieces.coverage = merge_small(pieces.coverage, min_zone, prefer);
    pieces.drop_straight(mesh.named);
    pieces
}

fn is_spread(face: &Face) -> bool {
    face.class < KEEP_OUT
}
