use crate::field::{Field, Sample};
use crate::soil::{Saturation, SodicLayer, magnesium_at_risk};
use crate::units::{Rate, Share};

/// What the soil test says beside the CEC. Nothing here changes a rate.
#[derive(Clone, Debug, PartialEq)]
pub struct SoilReasons {
    /// The samples with any of it, in the field's order.
    pub samples: Vec<SampleReasons>,
    /// The mean of the samples' saturations, each counting the same; none without cations.
    pub mean: Option<Saturation>,
    /// The mean of the samples' exchangeable sodium; none without any.
    pub esp_mean: Option<Share>,
}

/// What one sample says.
#[derive(Clone, Debug, PartialEq)]
pub struct SampleReasons {
    /// Its name.
    pub id: String,
    /// Its CEC, meq/100 g.
    pub cec: f64,
    /// How the bases share it.
    pub saturation: Option<Saturation>,
    /// The part of it that sodium holds (ESP).
    pub esp: Option<Share>,
    /// The least and the most pure gypsum that would reclaim it, if it is sodic: a second opinion,
    /// for a licensed adviser.
    pub sodic: Option<[Rate; 2]>,
    /// Whether its CEC is low and its magnesium short.
    pub magnesium_at_risk: bool,
}

impl SoilReasons {
    /// What a field's samples say; `None` if they have neither cations nor sodium.
    pub(super) fn new(field: &Field, layer: &SodicLayer) -> Option<Self> {
        let told = field.samples.iter().filter(|s| s.cations.is_some() || s.esp.is_some());
        let samples: Vec<SampleReasons> =
            told.map(|sample| SampleReasons::new(sample, layer)).collect();
        let saturations: Vec<Saturation> = samples.iter().filter_map(|s| s.saturation).collect();
        let esps: Vec<Share> = samples.iter().filter_map(|sample| sample.esp).collect();
        let esp_mean =
            (!esps.is_empty()).then(|| esps.iter().copied().sum::<Share>() / esps.len() as f64);
        let mean = Saturation::mean(&saturations);
        (!samples.is_empty()).then_some(Self { samples, mean, esp_mean })
    }

    /// The samples of sodic soil.
    pub fn sodic(&self) -> impl Iterator<Item = (&SampleReasons, [Rate; 2])> {
        self.samples.iter().filter_map(|sample| sample.sodic.map(|range| (sample, range)))
    }

    /// What somebody should look at.
    pub(super) fn warnings(&self) -> Vec<String> {
        let ids = |of: &dyn Fn(&&SampleReasons) -> bool| -> Vec<&str> {
            self.samples.iter().filter(|s| of(s)).map(|sample| sample.id.as_str()).collect()
        };
        let (sodic, magnesium) =
            (ids(&|sample| sample.sodic.is_some()), ids(&|sample| sample.magnesium_at_risk));
        let mut warnings = Vec::new();
        if !sodic.is_empty() {
            warnings.push(format!(
                "exchangeable sodium is over {:.0} % of the CEC at {}: this is sodic soil, which the tiers are not made for; leave it to licensed practice (NRCS Conservation Practice Standard 333 sends sodic soils to Code 610)",
                SodicLayer::SODIC.as_percent(),
                named(&sodic),
            ));
        }
        if !magnesium.is_empty() {
            warnings.push(format!(
                "CEC is under 10 meq/100 g (common practice, no source) and magnesium is short, 3 % of Ca + Mg + K or less, or less than K (Michigan State University Extension), at {}: gypsum drives magnesium out; ask the adviser about magnesium first",
                named(&magnesium),
            ));
        }
        warnings
    }
}

impl SampleReasons {
    fn new(sample: &Sample, layer: &SodicLayer) -> Self {
        let Sample { cec, esp, .. } = *sample;
        let sodic = esp.filter(|esp| *esp > SodicLayer::SODIC);
        Self {
            id: sample.id.clone(),
            cec,
            saturation: sample.cations.map(|cations| Saturation::new(&cations, cec)),
            esp,
            sodic: sodic.map(|esp| layer.requirement_range(cec, esp)),
            magnesium_at_risk: sample
                .cations
                .is_some_and(|cations| magnesium_at_risk(cec, &cations)),
        }
    }
}

/// How many samples, and the names of the first of them.
fn named(ids: &[&str]) -> String {
    const SHOWN: usize = 5;
    let shown: Vec<&str> = ids.iter().copied().filter(|id| !id.is_empty()).take(SHOWN).collect();
    let count = match ids.len() {
        1 => "1 sample".to_owned(),
        count => format!("{count} samples"),
    };
    match shown.len() {
        0 => count,
        few if few == ids.len() => format!("{count} ({})", shown.join(", ")),
        _ => format!("{count} ({}, …)", shown.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_few_are_named() {
        assert_eq!(named(&["A1"]), "1 sample (A1)");
        assert_eq!(named(&["", ""]), "2 samples");
        assert_eq!(named(&["1", "2", "3", "4", "5", "6"]), "6 samples (1, 2, 3, 4, 5, …)");
    }
}
