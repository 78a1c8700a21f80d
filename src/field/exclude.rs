use std::collections::{BTreeMap, BTreeSet};

use super::RawSample;
use crate::warning::Warning;

/// A name on the list of samples that do not count, which no sample has.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{file}, exclude: found \"{id}\", expected the id of a sample{nearest}")]
pub struct ExcludeError {
    /// The file with the list.
    pub file: String,
    /// The name.
    pub id: String,
    /// `; the nearest is "…"`, or that the samples have no ids.
    pub nearest: String,
}

/// Samples parted by whether they count.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Exclusion {
    /// Those that do, in the order they came.
    pub kept: Vec<RawSample>,
    /// Those that do not, by easting, northing and id; unchecked, as they may be left out for being
    /// wrong.
    pub excluded: Vec<RawSample>,
    /// A warning for each name that several samples have.
    pub warnings: Vec<Warning>,
}

/// Takes out the samples of some ids, each with every sample that has it. Case and spaces around
/// do not matter. `file` is the file with the list.
///
/// # Errors
/// When no sample has one of the ids.
pub fn exclude(
    samples: Vec<RawSample>,
    ids: &[String],
    file: &str,
) -> Result<Exclusion, ExcludeError> {
    let mut warnings = Vec::new();
    let mut by_id: BTreeMap<String, Vec<&RawSample>> = BTreeMap::new();
    for sample in &samples {
        by_id.entry(folded(&sample.id)).or_default().push(sample);
    }
    by_id.remove("");
    let mut listed = BTreeSet::new();
    for id in ids {
        let Some(same) = by_id.get(&folded(id)) else {
            let (file, id) = (file.to_owned(), id.clone());
            return Err(ExcludeError { file, nearest: nearest(&samples, &id), id });
        };
        let is_first = listed.insert(folded(id));
        if same.len() > 1 && is_first {
            let places = same.iter().map(|sample| sample.shown()).collect();
            warnings.push(Warning::ExcludedIdShared { id: id.clone(), places });
        }
    }
    let is_excluded = |sample: &RawSample| listed.contains(&folded(&sample.id));
    let (mut excluded, kept): (Vec<_>, _) = samples.into_iter().partition(is_excluded);
    excluded.sort_by(|a, b| {
        let (p, q) = (a.wgs84, b.wgs84);
        let names = || a.id.cmp(&b.id).then_with(|| a.place.cmp(&b.place));
        p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)).then_with(names)
    });
    Ok(Exclusion { kept, excluded, warnings })
}

fn folded(id: &str) -> String {
    id.trim().to_lowercase()
}

/// The id that is spelled most like one that does not exist; the first of several.
fn nearest(samples: &[RawSample], id: &str) -> String {
    let ids = samples.iter().map(|sample| sample.id.trim()).filter(|id| !id.is_empty());
    let wanted = folded(id);
    match ids.min_by_key(|known| strsim::osa_distance(&wanted, &folded(known))) {
        Some(known) => format!("; the nearest is \"{known}\""),
        None => "; the samples have no ids".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use geo::Coord;

    use super::*;

    fn samples(ids: &[&str]) -> Vec<RawSample> {
        let sample = |(row, id): (usize, &&str)| RawSample {
            id: (*id).to_owned(),
            place: format!("samples.csv, row {row}"),
            wgs84: Coord { x: -85.2, y: 40.1 },
            cec: Some(10.0),
            cations: None,
            esp: None,
        };
        (2..).zip(ids).map(sample).collect()
    }

    fn without(ids: &[&str], excluded: &[&str]) -> Result<Exclusion, ExcludeError> {
        let excluded: Vec<String> = excluded.iter().map(|id| (*id).to_owned()).collect();
        exclude(samples(ids), &excluded, "job.toml")
    }

    fn names(samples: &[RawSample]) -> Vec<&str> {
        samples.iter().map(|sample| sample.id.as_str()).collect()
    }

    #[test]
    fn named_samples_are_taken_out() {
        let parted = without(&["A1", "A7", "B2 ", "C1"], &["b2", "A7", "A7"]).unwrap();
        assert_eq!(names(&parted.kept), ["A1", "C1"]);
        assert_eq!(names(&parted.excluded), ["A7", "B2 "]);
        assert!(parted.warnings.is_empty());
        assert_eq!(without(&["A1", ""], &[]).unwrap().kept.len(), 2);
    }

    #[test]
    fn an_id_that_comes_twice_takes_out_both() {
        let parted = without(&["A1", "A7", "B2", "A7"], &["A7", "a7"]).unwrap();
        assert_eq!(names(&parted.kept), ["A1", "B2"]);
        assert_eq!(
            crate::report::warnings::said(&parted.warnings),
            [
                "samples.csv, row 3 (A7) and samples.csv, row 5 (A7): 2 samples have the excluded id \"A7\"; none of them counts"
            ]
        );
    }

    #[test]
    fn unknown_ids_are_faults() {
        let said = |ids: &[&str], id| without(ids, &[id]).unwrap_err().to_string();
        assert_eq!(
            said(&["A1", "A17", "B2"], "A7"),
            "job.toml, exclude: found \"A7\", expected the id of a sample; the nearest is \"A1\""
        );
        assert_eq!(
            said(&["", " "], "A7"),
            "job.toml, exclude: found \"A7\", expected the id of a sample; the samples have no ids"
        );
        assert_eq!(
            said(&["", "A1"], ""),
            "job.toml, exclude: found \"\", expected the id of a sample; the nearest is \"A1\""
        );
    }
}
