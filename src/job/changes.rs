//! What most people change about a job, as it is typed on the command line.

use std::path::{Path, PathBuf};
use std::str::FromStr;

use super::{Job, KeepOutEntry};
use crate::soil::TierSetting;
use crate::units::{Length, UnitError, Written};

/// Changes of a job, or of all jobs of a farm.
#[derive(Clone, Debug, Default)]
pub struct Changes {
    /// These in place of the tiers, from the lowest CEC; none of them changes nothing.
    pub tiers: Vec<TierSetting>,
    /// Another swath.
    pub swath: Option<Written<Length>>,
    /// What is kept from besides.
    pub keep_out: Vec<KeepOutText>,
}

/// What is kept from, as `FILE=35ft`.
#[derive(Clone, Debug, PartialEq)]
pub struct KeepOutText {
    /// The file with the features.
    pub file: PathBuf,
    /// How far from them nothing is spread.
    pub distance: Written<Length>,
}

/// Why a text is not what is kept from.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("found \"{text}\"{reason}, expected a file and a distance, such as \"pond.kml=35ft\"")]
pub struct KeepOutTextError {
    text: String,
    reason: String,
}

impl FromStr for KeepOutText {
    type Err = KeepOutTextError;

    fn from_str(text: &str) -> Result<Self, KeepOutTextError> {
        let fault = |reason: String| KeepOutTextError { text: text.to_owned(), reason };
        let (file, distance) = text
            .rsplit_once('=')
            .filter(|(file, _)| !file.trim().is_empty())
            .ok_or_else(|| fault(String::new()))?;
        let distance = Written::read(distance.trim())
            .map_err(|error: UnitError| fault(format!(" with {error}")))?;
        Ok(Self { file: file.trim().into(), distance })
    }
}

impl Changes {
    /// Whether nothing is changed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.tiers.is_empty() && self.swath.is_none() && self.keep_out.is_empty()
    }

    /// Changes a job. Files are named from where the command runs, and `here` leads there from the
    /// job's folder.
    pub fn apply(&self, job: &mut Job, here: &Path) {
        if !self.tiers.is_empty() {
            job.tier.clone_from(&self.tiers);
        }
        if self.swath.is_some() {
            job.swath = self.swath;
        }
        job.keep_out.extend(self.keep_out.iter().map(|text| text.entry(here)));
    }
}

impl KeepOutText {
    /// What it says as a job would; `here` leads to where its file is named from.
    #[must_use]
    pub fn entry(&self, here: &Path) -> KeepOutEntry {
        let why = self.file.file_stem().unwrap_or_default().to_string_lossy();
        KeepOutEntry {
            file: here.join(&self.file),
            distance: self.distance,
            why: why.replace(['_', '-'], " "),
            crs: None,
            layer: None,
            field: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_from() {
        let pond: KeepOutText = "a=b/farm_pond.kml=35'".parse().unwrap();
        assert_eq!(pond.file, Path::new("a=b/farm_pond.kml"));
        let mut job = Job::of_files("b.shp".into(), "s.csv".into(), None);
        let changes = Changes { keep_out: vec![pond], ..Changes::default() };
        changes.apply(&mut job, Path::new("fields"));
        let [kept] = job.keep_out.as_slice() else { panic!("one") };
        assert_eq!(
            (kept.why.as_str(), kept.distance.to_string()),
            ("farm pond", "35 ft".to_owned())
        );
        assert_eq!(kept.file, Path::new("fields/a=b/farm_pond.kml"));
        let said = |text: &str| text.parse::<KeepOutText>().unwrap_err().to_string();
        let expected = "expected a file and a distance, such as \"pond.kml=35ft\"";
        assert_eq!(said("pond.kml"), format!("found \"pond.kml\", {expected}"));
        assert_eq!(said("=35ft"), format!("found \"=35ft\", {expected}"));
        assert_eq!(
            said("pond.kml=35"),
            format!(
                "found \"pond.kml=35\" with \"35\": found no unit, expected a length such as \"1 ft\", {expected}"
            )
        );
    }
}
