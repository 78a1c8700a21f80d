use geo::{Coord, InteriorPoint as _};

use super::amounts::ZoneAmounts;
use super::representative_nodes::RepresentativeNode;
use super::sampled_ground::SampledGround;
use super::{Surfaced, Zone};
use crate::certainty::{Certainty, Place, certainty};
use crate::geometry::Coverage;
use crate::soil::Tiers;
use crate::units::Area;
use crate::zones::faces_of_nodes;

/// How sure the zones are; none for fewer than two samples.
pub(super) fn certainty_of(
    surfaced: &Surfaced,
    amounts: &ZoneAmounts,
    coverage: &Coverage,
    tiers: &Tiers,
) -> Option<Certainty> {
    let SampledGround { surface, errors, lattice, nodes, .. } = &*surfaced.ground;
    let ZoneAmounts { zones, faces, .. } = amounts;
    let errors = errors.as_ref()?;
    let mut zone_of = vec![None; coverage.faces.len()];
    for (zone, face) in zones.iter().zip(faces) {
        if let Some(slot) = zone_of.get_mut(face.index()) {
            *slot = Some(zone);
        }
    }
    let owners = faces_of_nodes(coverage, lattice);
    let zone_at = |node: usize| {
        let face = owners.get(node).copied().flatten()?;
        zone_of.get(face.index()).copied().flatten()
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
    for RepresentativeNode { node, truth } in &*surfaced.representatives {
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
    let by_cec = |zone: &&Zone| !tiers.is_set(zone.tier);
    for (zone, face) in zones.iter().zip(faces).filter(|(zone, _)| by_cec(zone)) {
        let empty = counts.get_mut(zone.number).filter(|count| **count == 0);
        let polygon = coverage.face(*face).map(|face| coverage.plane_polygon(face));
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
    let mut found = certainty(&places, errors, tiers);
    // No soil test has a say in a rate that is set.
    let set = zones.iter().filter(|zone| !by_cec(zone)).map(|zone| zone.amount.mass).sum();
    found.tons = found.tons.with(set);
    Some(found)
}
