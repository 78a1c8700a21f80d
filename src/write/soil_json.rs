//! What the soil test says beside the CEC, in `totals.json`.

use serde_json::{Value, json};

use super::zone_row::{CEC_DECIMALS, rate_unit, written_rate};
use crate::plan::{Plan, SampleReasons};
use crate::soil::{LEAST_MAGNESIUM, LOW_CEC, Saturation, SodicLayer};
use crate::units::{Density, Length, Quantity, Share, System, round_to};

/// The reasons; null where the soil test has neither cations nor sodium.
pub fn soil(plan: &Plan) -> Value {
    let Some(reasons) = &plan.soil else { return Value::Null };
    let system = plan.settings.system;
    let layer = plan.settings.sodic;
    json!({
        "samples": reasons.samples.iter().map(|one| sample(one, system)).collect::<Vec<_>>(),
        "mean_saturation_percent": reasons.mean.as_ref().map(saturation),
        "esp_mean_percent": reasons.esp_mean.map(percent),
        "magnesium_caution": {
            "cec_under": LOW_CEC,
            "cec_source": "common practice, no source",
            "least_percent_of_ca_mg_k": LEAST_MAGNESIUM.as_percent(),
            "least_source": "Michigan State University Extension: above 3 %, and above K",
        },
        "sodic_over_esp_percent": percent(SodicLayer::SODIC),
        "sodic_layer": {
            "depth": round_to(layer.depth.value_in(system), 4),
            "depth_unit": Length::unit(system).symbol(),
            "bulk_density": round_to(layer.density.value_in(system), 4),
            "bulk_density_unit": Density::unit(system).symbol(),
            "target_esp_percent": percent(layer.target),
            "formula": "Mg/ha = 8.6 x F x depth m x bulk density Mg/m3 x CEC x (ESP - target) / 100, F 1.1 to 1.3 (Oster and others 1999); a second opinion, in no rate",
        },
    })
}

fn percent(share: Share) -> f64 {
    round_to(share.as_percent(), 2)
}

fn saturation(saturation: &Saturation) -> Value {
    let [calcium, magnesium, potassium, sodium, bases] = saturation.printed();
    let sodium = saturation.sodium.map(|_| sodium);
    json!({ "ca": calcium, "mg": magnesium, "k": potassium, "na": sodium, "bases": bases })
}

fn sample(sample: &SampleReasons, system: System) -> Value {
    let sodic = sample.sodic.map(|[least, most]| {
        let [least, most] = [least, most].map(|rate| written_rate(rate, system));
        json!({ "least": least, "most": most, "rate_unit": rate_unit(system), "of": "pure gypsum" })
    });
    json!({
        "sample": sample.id,
        "cec": round_to(sample.cec, CEC_DECIMALS),
        "saturation_percent": sample.saturation.as_ref().map(saturation),
        "esp_percent": sample.esp.map(percent),
        "sodic_requirement": sodic,
        "magnesium_at_risk": sample.magnesium_at_risk,
    })
}
