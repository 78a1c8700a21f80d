//! What piles keep from though the job's setbacks do not say so: water that is known otherwise.

use super::water::names_water;
use super::{Field, HOLE, Nearby, Site};
use crate::geometry::Feature;

/// Features whose vertices are so near to those of a layer, in meters, are in it: 10 ft, what two
/// surveys of one well or bank may differ by.
const SAME_M: f64 = 3.048;

impl Field {
    /// Gives its piles, if it has any, the usual setback from water that the job's setbacks leave out.
    pub(super) fn assume_setbacks(&mut self) {
        let Some(mut site) = self.site.take() else { return };
        site.setbacks.retain(|setback| setback.is_stated);
        site.setbacks.extend(self.assumed_setbacks(&site.setbacks));
        self.site = Some(site);
    }

    /// The usual setback from what may be water and is in none of the stated layers: a hole that the
    /// job says nothing of, and what is kept out for water by its words.
    fn assumed_setbacks(&self, stated: &[Nearby]) -> Vec<Nearby> {
        let assumed = |called: &str, why: &str, features| Nearby {
            called: called.to_owned(),
            why: why.to_owned(),
            distance: Site::SETBACK,
            features,
            is_stated: false,
        };
        let water = self.kept_from.iter().filter(|layer| names_water(&layer.why));
        let water = water.map(|layer| {
            let left = layer.features.iter().filter(|feature| !is_in(feature, stated));
            assumed(&layer.called, &layer.why, left.cloned().collect())
        });
        // A keep-out says what the hole is that it stands in.
        let holes = self.holes().map(|(_, hole)| hole);
        let holes = holes.filter(|hole| !is_in(hole, stated) && !is_in(hole, &self.kept_from));
        let holes = assumed("boundary", HOLE, holes.collect());
        water.chain([holes]).filter(|layer| !layer.features.is_empty()).collect()
    }
}

/// Whether one of the layers has a feature already.
fn is_in(feature: &Feature, layers: &[Nearby]) -> bool {
    layers.iter().any(|layer| {
        let near = |at| layer.features.iter().any(|other| other.distance(at) <= SAME_M);
        feature.lines.iter().flatten().copied().all(near)
    })
}
