//! What is printed about the soil test beside the CEC.

use landplaster::plan::Plan;
use landplaster::units::{Quantity, Rate};

/// Base saturation, and the second opinion on sodic soil.
pub fn lines(plan: &Plan) -> Vec<String> {
    let Some(reasons) = &plan.soil else { return Vec::new() };
    let system = plan.settings.system;
    let mut lines = Vec::new();
    if let Some(mean) = &reasons.mean {
        let [calcium, magnesium, potassium, sodium, bases] = mean.printed();
        let sodium = match mean.sodium {
            Some(_) => format!(", Na {sodium:.1}"),
            None => ", Na not measured".to_owned(),
        };
        let count = reasons.samples.iter().filter(|sample| sample.saturation.is_some()).count();
        lines.push(format!(
            "Bases hold {bases:.1} % of the CEC: Ca {calcium:.1}, Mg {magnesium:.1}, K {potassium:.1}{sodium} % (mean of {count} samples)."
        ));
    }
    let sodic: Vec<_> = reasons.sodic().map(|(_, range)| range).collect();
    if !sodic.is_empty() {
        let count = sodic.len() as f64;
        let mean = |of: fn(&[Rate; 2]) -> Rate| sodic.iter().map(of).sum::<Rate>() / count;
        let layer = plan.settings.sodic;
        lines.push(format!(
            "A second opinion, in no rate: to bring the {} sodic samples to {:.0} % sodium in {} of soil takes {:.2} to {} of pure gypsum in the mean (Oster and others 1999).",
            sodic.len(),
            layer.target.as_percent(),
            layer.depth.show(system, 2),
            mean(|[least, _]| *least).value_in(system),
            mean(|[_, most]| *most).show(system, 2),
        ));
    }
    lines
}
