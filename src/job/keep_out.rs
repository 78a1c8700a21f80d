//! Keep-outs as a job writes them.

use std::path::PathBuf;

use serde::Deserialize;

use super::JobError;
use super::range::{fault, within};
use crate::faults::Faults;
use crate::path_text::shown;
use crate::read::FeatureSettings;
use crate::units::{Length, Written};

/// The longest distance that is kept from anything: a mile.
const LONGEST: Length = Length::feet(5280.0);

/// Where features are that are kept from, and how far.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KeepOutEntry {
    /// The file with the features.
    #[serde(deserialize_with = "super::path::path")]
    pub file: PathBuf,
    /// How far from them nothing is spread.
    pub distance: Written<Length>,
    /// What they are.
    pub why: String,
    /// The coordinate system, such as `EPSG:2965`; what the file itself says when absent.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file, of task data the kind; the only one, of task data the obstacles, when absent.
    pub layer: Option<String>,
    /// The name of the field that they belong to, where the file says it; all when absent.
    pub field: Option<String>,
}

impl KeepOutEntry {
    /// What messages call the `number`-th of a list, from 1.
    #[must_use]
    pub fn called(&self, list: &str, number: usize) -> String {
        format!("{list} {number} ({})", shown(&self.file))
    }

    /// How the file is read.
    #[must_use]
    pub fn settings(&self) -> FeatureSettings {
        let (crs, layer, field) = (self.crs.clone(), self.layer.clone(), self.field.clone());
        FeatureSettings { crs, layer, field }
    }

    pub(super) fn check(&self, file: &str, called: &str) -> Result<(), JobError> {
        let setting = |key: &str| format!("{called}, {key}");
        let expected = "0 ft to 5,280 ft (0 m to 1609 m)";
        let distances = Length::ZERO..=LONGEST;
        let mut faults = Faults::default();
        faults.of(within(file, &setting("distance"), Some(self.distance), distances, expected));
        if self.why.trim().is_empty() {
            let expected = "a name for it, such as why = \"drainage ditch\"";
            faults.push(fault(file, &setting("why"), "nothing", expected));
        }
        faults.all()
    }
}
