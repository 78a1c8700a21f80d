use std::collections::BTreeMap;

use super::Sample;
use crate::warning::Warning;

/// A warning of ids that several samples have, in whatever letter case. An id is only a name here, so
/// that all of them count; but one may be mistyped, or two fields may be in one file.
pub(super) fn warning(samples: &[Sample]) -> Option<Warning> {
    let mut by_id: BTreeMap<String, Vec<&Sample>> = BTreeMap::new();
    for sample in samples.iter().filter(|sample| !sample.id.trim().is_empty()) {
        by_id.entry(sample.id.trim().to_lowercase()).or_default().push(sample);
    }
    let shared = by_id.into_values().filter(|same| same.len() > 1).map(|same| {
        let id = same.first().map_or("", |first| first.id.trim()).to_owned();
        let mut places: Vec<String> = same.iter().map(|sample| sample.place.clone()).collect();
        places.sort_unstable();
        (id, places)
    });
    let ids: Vec<_> = shared.collect();
    (!ids.is_empty()).then_some(Warning::IdShared { ids })
}
