//! `fixtures/laboratory`: the headers and layouts that laboratories send, and what must come of
//! each.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::field::RawSample;
use crate::read::{
    CationSettings, LaboratorySettings, Read, ReadError, SampleSettings, Source, samples,
};
use crate::report::warnings::said;

const POINTS: &str = "id,lon,lat\n1,-85,40\n2,-85,40.1\n3,-85,40.2\n4,-85,40.3\n";

fn read(table: &str, settings: &LaboratorySettings) -> Result<Read<Vec<RawSample>>, ReadError> {
    let (points, table) = (Source::of("points.csv", POINTS), Source::of("lab.csv", table));
    let cations = CationSettings::default();
    samples(&points, Some((&table, settings)), &SampleSettings::default(), &cations)
}

#[derive(Deserialize)]
struct Headers {
    reads: Vec<String>,
    refuses: Vec<String>,
}

#[test]
fn headers() {
    let Headers { reads, refuses } =
        toml::from_str(include_str!("../../../fixtures/laboratory/headers.toml")).unwrap();
    let under = |header: &str| {
        let table = format!("Sample ID,pH,\"{header}\"\n1,6,8.2\n2,6,12.4\n3,6,15.1\n");
        read(&table, &LaboratorySettings::default())
    };
    let mut wrong = Vec::new();
    for header in reads {
        match under(&header) {
            Err(error) => wrong.push(error.to_string()),
            Ok(read) => {
                let cec: Vec<Option<f64>> = read.value.iter().map(|sample| sample.cec).collect();
                assert_eq!(cec, [Some(8.2), Some(12.4), Some(15.1)], "{header}");
            }
        }
    }
    for header in refuses {
        match under(&header) {
            Ok(_) => wrong.push(format!("\"{header}\" is taken for CEC")),
            Err(error) => assert!(error.to_string().contains(&header), "{header}: {error}"),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[derive(Deserialize)]
struct Layouts {
    layout: Vec<Layout>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Layout {
    what: String,
    table: String,
    #[serde(default)]
    reads: BTreeMap<String, f64>,
    #[serde(default)]
    fails: Vec<String>,
    #[serde(default)]
    told: Vec<String>,
    cec: Option<String>,
    depth: Option<String>,
    below_detection: Option<String>,
}

impl Layout {
    /// What is wrong with what came of it, if anything.
    fn wrong(&self) -> Option<String> {
        let settings = LaboratorySettings {
            cec: self.cec.clone(),
            depth: self.depth.clone(),
            below_detection: self.below_detection.clone(),
            ..LaboratorySettings::default()
        };
        match read(&self.table, &settings) {
            Err(error) => {
                let error = error.to_string();
                let said = self.fails.iter().all(|words| error.contains(words));
                (self.fails.is_empty() || !said).then_some(error)
            }
            Ok(read) => {
                let cec = read.value.iter().filter_map(|s| Some((s.id.clone(), s.cec?)));
                let cec: BTreeMap<String, f64> = cec.collect();
                // A sample without CEC is told of when it is checked against the field.
                let without = read.value.iter().filter(|sample| sample.cec.is_none());
                let without: String = without.map(|sample| sample.place.as_str()).collect();
                let warnings = said(&read.warnings).join("\n") + &without;
                let told = self.told.iter().all(|words| warnings.contains(words));
                let right = self.fails.is_empty() && cec == self.reads && told;
                (!right).then(|| format!("{cec:?}, {warnings:?}"))
            }
        }
    }
}

#[test]
fn layouts() {
    let Layouts { layout } =
        toml::from_str(include_str!("../../../fixtures/laboratory/layouts.toml")).unwrap();
    assert!(layout.len() >= 60);
    let wrong = layout.iter().filter_map(|layout| Some((&layout.what, layout.wrong()?)));
    let wrong: Vec<String> = wrong.map(|(what, found)| format!("{what}: {found}")).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
