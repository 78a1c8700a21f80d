use crate::field::{Field, Sample};
use crate::soil::{Saturation, SodicLayer, magnesium_at_risk};
use crate::units::{Rate, Share};
use crate::warning::Warning;

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
    /// The least and the most pure gypsum that would reclaim it, if it is sodic: for information,
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
    pub(super) fn warnings(&self) -> Vec<Warning> {
        let ids = |of: &dyn Fn(&&SampleReasons) -> bool| -> Vec<String> {
            self.samples.iter().filter(|s| of(s)).map(|sample| sample.id.clone()).collect()
        };
        let (sodic, magnesium) =
            (ids(&|sample| sample.sodic.is_some()), ids(&|sample| sample.magnesium_at_risk));
        let mut warnings = Vec::new();
        if !sodic.is_empty() {
            warnings.push(Warning::SodicSoil { over: SodicLayer::SODIC, samples: sodic });
        }
        if !magnesium.is_empty() {
            warnings.push(Warning::MagnesiumShort { samples: magnesium });
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
