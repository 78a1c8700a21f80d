//! Areas whose rate is set, as a job writes them.

use std::path::PathBuf;

use serde::Deserialize;

use super::JobError;
use super::plausible_rate::RateBound;
use super::range::fault;
use crate::faults::Faults;
use crate::path_text::shown;
use crate::read::FeatureSettings;
use crate::soil::Tier;
use crate::units::{Quantity as _, Rate, Written};

/// Areas with a rate of their own, whatever the soil test says there.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetRateEntry {
    /// The file with the areas.
    #[serde(deserialize_with = "super::path::path")]
    pub file: PathBuf,
    /// How much is spread there.
    pub rate: Written<Rate>,
    /// Why: what is known of them.
    pub why: String,
    /// The coordinate system, such as `EPSG:2965`; what the file itself says when absent.
    pub crs: Option<String>,
    /// The layer, folder or shapefile within the file; the only one when absent.
    pub layer: Option<String>,
    /// The name of the field that they belong to, where the file says it; all when absent.
    pub field: Option<String>,
}

impl SetRateEntry {
    /// What messages call the `number`-th, from 1.
    #[must_use]
    pub fn called(&self, number: usize) -> String {
        format!("set_rate {number} ({})", shown(&self.file))
    }

    /// How the file is read.
    #[must_use]
    pub fn settings(&self) -> FeatureSettings {
        let (crs, layer, field) = (self.crs.clone(), self.layer.clone(), self.field.clone());
        FeatureSettings { crs, layer, field }
    }

    /// The tier that the areas are.
    pub(super) fn tier(&self) -> Tier {
        Tier { label: format!("{}, rate set", self.why.trim()), rate: self.rate.value }
    }

    pub(super) fn check(
        &self,
        file: &str,
        number: usize,
        bound: &RateBound<'_>,
    ) -> Result<(), JobError> {
        let setting = |key: &str| format!("{}, {key}", self.called(number));
        let mut faults = Faults::default();
        faults.see(&bound.check(&setting("rate"), self.rate));
        if self.rate.value < Rate::ZERO {
            let found = self.rate.value.show(self.rate.system, 2);
            faults.push(fault(file, &setting("rate"), found, "a rate of 0 or more"));
        }
        if self.why.trim().is_empty() {
            let expected = "a reason for it, such as why = \"old feed lot\"";
            faults.push(fault(file, &setting("why"), "nothing", expected));
        }
        faults.all()
    }
}
