//! Zones that a spreader can drive: nothing narrower than its swath, no island, even borders.

use super::class::ClassOfGround;
use super::islands::{Joined, NodeOdds};
use super::level::{BetweenClasses, Classes};
use super::merge::merge_small;
use super::mesh::Mesh;
use super::opening::open;
use super::partition::{Partition, cut};
use super::prefer::Prefer;
use crate::geometry::{Face, smoothed};
use crate::units::{Area, Length};

/// What smoothing may take of a zone's width, from both sides, and is added beforehand: a straight or an
/// evenly bent strip keeps its width ([`smoothed`]), so that this is much less than borders may move.
const SMOOTHING_TAKES: Length = Length::feet(3.0);

/// What becomes of zones too small or too narrow to spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CleanUp {
    /// Zones smaller than this join another.
    pub min_zone: Area,
    /// Zones, or parts of them, narrower than this join another.
    pub min_width: Length,
    /// How far a border line may move when it is smoothed.
    pub tolerance: Length,
    /// Which other they join.
    pub prefer: Prefer,
    /// What becomes of zones on which the tier around them is more probable.
    pub islands: Islands,
}

/// What becomes of a zone on which the tier around it is more probable than its own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Islands {
    /// It joins what is around it.
    #[default]
    Join,
    /// It stays.
    Keep,
}

/// Cuts the field into drivable zones.
///
/// Narrow parts go by a morphological opening of all classes at once on the lattice;
/// zones under the least area are joined to a neighbor, and islands to what is around them; then each border is smoothed and
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
    asked: &CleanUp,
    odds: &NodeOdds<'_>,
) -> Partition {
    let CleanUp { min_zone, min_width, tolerance, prefer, .. } = *asked;
    let tolerance = tolerance.as_metres();
    let taken = SMOOTHING_TAKES.as_metres().min(tolerance);
    let opened = open(mesh, classes, min_width.as_metres() + taken, prefer);
    let mut pieces = cut(mesh, values, &opened, BetweenClasses::OneBorder, surface, Some(raw));
    pieces.coverage = merge_small(pieces.coverage, min_zone, prefer);
    (pieces.coverage, pieces.islands) = Joined::join(pieces.coverage, odds);
    let fixed = |id: u32| (id as usize) < mesh.rim.extras.len();
    pieces.coverage = smoothed(&pieces.coverage, fixed, by_surface, tolerance);
    pieces.coverage = merge_small(pieces.coverage, min_zone, prefer);
    pieces.drop_straight(mesh.rim.named);
    pieces
}

fn by_surface(face: &Face) -> bool {
    ClassOfGround::of(face.class).by_surface()
}
