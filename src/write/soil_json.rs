//! What the soil test says beside the CEC, in `totals.json`.

use crate::plan::{CEC_DECIMALS, Plan, SampleReasons, written_rate};
use crate::soil::{LEAST_MAGNESIUM, LOW_CEC, Saturation, SodicLayer};
use crate::totals;
use crate::units::{Density, Length, Quantity, Rate, Share, System, round_to};

/// The reasons; none where the soil test has neither cations nor sodium.
pub fn soil(plan: &Plan) -> Option<totals::Soil> {
    let reasons = plan.soil.as_ref()?;
    let system = plan.settings.system;
    Some(totals::Soil {
        samples: reasons.samples.iter().map(|one| sample(one, system)).collect(),
        mean_saturation_percent: reasons.mean.as_ref().map(saturation),
        esp_mean_percent: reasons.esp_mean.map(percent),
        magnesium_caution: totals::MagnesiumCaution {
            cec_under: LOW_CEC,
            cec_source: "common practice, no source".to_owned(),
            least_percent_of_ca_mg_k: LEAST_MAGNESIUM.as_percent(),
            least_source: "Michigan State University Extension: above 3 %, and above K".to_owned(),
        },
        sodic_over_esp_percent: percent(SodicLayer::SODIC),
        sodic_layer: sodic_layer(&plan.settings.sodic, system),
    })
}

fn percent(share: Share) -> f64 {
    round_to(share.as_percent(), 2)
}

fn sodic_layer(layer: &SodicLayer, system: System) -> totals::SodicLayer {
    totals::SodicLayer {
        depth: round_to(layer.depth.value_in(system), 4),
        depth_unit: Length::unit(system).symbol().to_owned(),
        bulk_density: round_to(layer.density.value_in(system), 4),
        bulk_density_unit: Density::unit(system).symbol().to_owned(),
        target_esp_percent: percent(layer.target),
        formula: "Mg/ha = 8.6 x F x depth m x bulk density Mg/m3 x CEC x (ESP - target) / 100, F 1.1 to 1.3 (Oster and others 1999); for information, no rate changed".to_owned(),
    }
}

fn saturation(saturation: &Saturation) -> totals::Saturation {
    let [ca, mg, k, sodium, bases] = saturation.printed();
    totals::Saturation { ca, mg, k, na: saturation.sodium.map(|_| sodium), bases }
}

fn sample(sample: &SampleReasons, system: System) -> totals::SoilSample {
    let sodic = sample.sodic.map(|[least, most]| totals::SodicRequirement {
        least: written_rate(least, system),
        most: written_rate(most, system),
        rate_unit: Rate::unit(system).symbol().to_owned(),
        of: "pure gypsum".to_owned(),
    });
    totals::SoilSample {
        sample: sample.id.clone(),
        cec: round_to(sample.cec, CEC_DECIMALS),
        saturation_percent: sample.saturation.as_ref().map(saturation),
        esp_percent: sample.esp.map(percent),
        sodic_requirement: sodic,
        magnesium_at_risk: sample.magnesium_at_risk,
    }
}
