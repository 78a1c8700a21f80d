//! What is printed about the soil test beside the CEC.

use crate::plan::Plan;
use crate::units::{Quantity, Rate, System, count};

/// Base saturation, and what sodic soil would take, for information soil.
pub fn lines(plan: &Plan) -> Vec<String> {
    let Some(reasons) = &plan.soil else { return Vec::new() };
    let system = plan.settings.system;
    let mut lines = Vec::new();
    if let Some(mean) = &reasons.mean {
        let [calcium, magnesium, potassium, sodium, bases] = mean.printed();
        let sodium = match mean.sodium {
            Some(_) => format!(", Na {sodium:.1} %"),
            None => " %, Na not measured".to_owned(),
        };
        let samples = reasons.samples.iter().filter(|sample| sample.saturation.is_some()).count();
        let over = if bases > 100.0 {
            "; over 100 % the test dissolved free lime, or a unit is mistaken"
        } else {
            ""
        };
        lines.push(format!(
            "Bases hold {bases:.1} % of the CEC: Ca {calcium:.1}, Mg {magnesium:.1}, K {potassium:.1}{sodium} (mean of {}){over}.",
            count(samples, "sample", "samples"),
        ));
    }
    let sodic: Vec<_> = reasons.sodic().map(|(_, range)| range).collect();
    if !sodic.is_empty() {
        let count = sodic.len() as f64;
        let mean = |of: fn(&[Rate; 2]) -> Rate| sodic.iter().map(of).sum::<Rate>() / count;
        let layer = plan.settings.sodic;
        let samples = match sodic.len() {
            1 => "1 sodic sample".to_owned(),
            several => format!("{several} sodic samples"),
        };
        let depth = match system {
            System::Us => format!("{:.1} in", layer.depth.as_inches()),
            System::Metric => format!("{:.0} cm", layer.depth.as_centimetres()),
        };
        lines.push(format!(
            "For information; no rate changed: to get {} to {:.0} % sodium in {} of soil takes {:.2} to {} of pure gypsum on average (Oster and others 1999).",
            samples,
            layer.target.as_percent(),
            depth,
            mean(|[least, _]| *least).value_in(system),
            mean(|[_, most]| *most).show(system, 2),
        ));
    }
    lines
}
