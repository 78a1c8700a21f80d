use geo::{Coord, InteriorPoint as _};
use rayon::prelude::*;

use super::amounts::Amounts;
use super::surfaced::Ground;
use super::{Surfaced, Zone};
use crate::certainty::{Certainty, Place, certainty, tier_odds};
use crate::geometry::Coverage;
use crate::soil::Tiers;
use crate::surface::Truth;
use crate::units::Area;
use crate::zones::faces_of_nodes;

/// At most about so many places stand for the field.
const PLACES: usize = 4000;
/// Pairs of samples that may be gone through for all places together where every sample counts at
/// every place: about a second.
const PAIRS: usize = 40_000_000;

/// A node of the lattice that stands for the ground around it, with what a new sample is expected to
/// show there.
pub(super) struct Standing {
    node: usize,
    truth: Truth,
}

/// The nodes that stand for a field, every so many rows and columns: no tier is in them, so they are
/// found once for all zones of a surface.
pub(super) fn standing(ground: &Ground, inside: &[bool]) -> Vec<Standing> {
    let Ground { surface, errors, lattice, nodes, .. } = ground;
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
        Standing { node, truth: errors.truth_at(x, y, value) }
    };
    wanted.into_par_iter().map(truth).collect()
}

/// The odds of each tier at the nodes that stand for the field.
pub(super) fn node_odds(surfaced: &Surfaced, tiers: &Tiers) -> Vec<(usize, Vec<f64>)> {
    let odds = |Standing { node, truth }: &Standing| (*node, tier_odds(*truth, tiers));
    surfaced.standing.iter().map(odds).collect()
}

/// How sure the zones are; none for fewer than two samples.
pub(super) fn certainty_of(
    surfaced: &Surfaced,
    amounts: &Amounts,
    coverage: &Coverage,
    tiers: &Tiers,
) -> Option<Certainty> {
    let Ground { surface, errors, lattice, nodes, .. } = &*surfaced.ground;
    let Amounts { zones, faces, .. } = amounts;
    let errors = errors.as_ref()?;
    let mut zone_of = vec![None; coverage.faces.len()];
    for (zone, face) in zones.iter().zip(faces) {
        if let Some(slot) = zone_of.get_mut(*face) {
            *slot = Some(zone);
        }
    }
    let owners = faces_of_nodes(coverage, lattice);
    let zone_at = |node: usize| {
        let face = owners.get(node).copied().flatten()?;
        zone_of.get(face as usize).copied().flatten()
    };
    let place = |zone: &Zone, at: Coord<f64>, value| Place {
        easting: at.x,
        northing: at.y,
        area: Area::ZERO,
        zone: zone.number,
        tier: zone.tier,
        value,
    };
    let mut places = Vec::new();
    for Standing { node, truth } in &*surfaced.standing {
        if let (Some(zone), Some(value)) = (zone_at(*node), nodes.get(*node)) {
            places.push((place(zone, lattice.node(*node), *value), *truth));
        }
    }
    let mut counts = vec![0_usize; zones.len() + 1];
    for (place, _) in &places {
        if let Some(count) = counts.get_mut(place.zone) {
            *count += 1;
        }
    }
    for (zone, face) in zones.iter().zip(faces) {
        let empty = counts.get_mut(zone.number).filter(|count| **count == 0);
        let polygon = coverage.faces.get(*face).map(|face| coverage.plane_polygon(face));
        let inner = empty.is_some().then(|| polygon.and_then(|polygon| polygon.interior_point()));
        if let (Some(count), Some(at)) = (empty, inner.flatten()) {
            *count = 1;
            let value = surface.at(at.x(), at.y());
            let truth = errors.truth_at(at.x(), at.y(), value);
            places.push((place(zone, at.0, value), truth));
        }
    }
    for (place, _) in &mut places {
        let count = counts.get(place.zone).copied().unwrap_or(1).max(1);
        if let Some(zone) = place.zone.checked_sub(1).and_then(|i| zones.get(i)) {
            place.area = zone.amount.area / count as f64;
        }
    }
    Some(certainty(&places, errors, tiers))
}
