use std::collections::BTreeMap;

use super::Sample;
use super::listed::{and, listed};

/// So many places of an id are named.
const NAMED: usize = 4;

/// Ids that several samples have, in whatever letter case. An id is only a name here, so that all of
/// them count; but one may be mistyped, or two fields may be in one file.
pub(super) fn warning(samples: &[Sample]) -> Option<String> {
    let mut by_id: BTreeMap<String, Vec<&Sample>> = BTreeMap::new();
    for sample in samples.iter().filter(|sample| !sample.id.trim().is_empty()) {
        by_id.entry(sample.id.trim().to_lowercase()).or_default().push(sample);
    }
    let twice: Vec<String> =
        by_id.values().filter(|same| same.len() > 1).map(|same| told(same)).collect();
    (!twice.is_empty()).then(|| {
        format!(
            "ids that several samples have, at different places: {}; all count, but check that none is mistyped or of another field",
            listed(&twice)
        )
    })
}

fn told(same: &[&Sample]) -> String {
    let id = same.first().map_or("", |first| first.id.trim());
    let mut places: Vec<&str> = same.iter().map(|sample| sample.place.as_str()).collect();
    places.sort_unstable();
    let more = places.len().saturating_sub(NAMED);
    let others = (more > 0).then(|| format!("{more} more"));
    let places = places.into_iter().take(NAMED).map(str::to_owned).chain(others);
    format!("\"{id}\" ({})", and(places))
}
