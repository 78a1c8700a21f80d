use geo::InteriorPoint as _;

use super::amounts::Amounts;
use super::surfaced::Ground;
use super::{Surfaced, Zone};
use crate::certainty::{Certainty, Place, certainty};
use crate::geometry::Coverage;
use crate::soil::Tiers;
use crate::units::Area;
use crate::zones::faces_of_nodes;

/// At most about so many places stand for the field.
const PLACES: usize = 4000;
/// Pairs of samples that may be gone through for all places together where every sample counts at
/// every place: about a second.
const PAIRS: usize = 40_000_000;

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
    let spread =
        |owner: &Option<u32>| owner.and_then(|face| zone_of.get(face as usize).copied().flatten());
    let count = owners.iter().filter(|owner| spread(owner).is_some()).count();
    let samples = surface.points().len();
    let most = (PAIRS / (samples * samples).max(1)).clamp(PLACES / 10, PLACES);
    let every = (1..=count.max(1)).find(|every| count / (every * every) <= most).unwrap_or(1);
    let place = |zone: &Zone, easting, northing, value| Place {
        easting,
        northing,
        area: Area::ZERO,
        zone: zone.number,
        tier: zone.tier,
        value,
    };
    let mut places = Vec::new();
    for (node, (owner, value)) in owners.iter().zip(nodes).enumerate() {
        let (row, column) = (node / lattice.columns(), node % lattice.columns());
        if row % every != 0 || column % every != 0 {
            continue;
        }
        if let Some(zone) = spread(owner) {
            places.push(place(zone, lattice.easting(column), lattice.northing(row), *value));
        }
    }
    let mut counts = vec![0_usize; zones.len() + 1];
    for place in &places {
        if let Some(count) = counts.get_mut(place.zone) {
            *count += 1;
        }
    }
    for (zone, face) in zones.iter().zip(faces) {
        let empty = counts.get_mut(zone.number).filter(|count| **count == 0);
        let polygon = coverage.faces.get(*face).map(|face| coverage.plane_polygon(face));
        let inner = polygon.and_then(|polygon| polygon.interior_point());
        if let (Some(count), Some(at)) = (empty, inner) {
            *count = 1;
            places.push(place(zone, at.x(), at.y(), surface.at(at.x(), at.y())));
        }
    }
    for place in &mut places {
        let count = counts.get(place.zone).copied().unwrap_or(1).max(1);
        if let Some(zone) = place.zone.checked_sub(1).and_then(|i| zones.get(i)) {
            place.area = zone.amount.area / count as f64;
        }
    }
    Some(certainty(&places, errors, tiers))
}
