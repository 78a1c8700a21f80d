use crate::plan::Plan;

/// Something with its name.
#[derive(Clone, Debug)]
pub struct NamedValue {
    pub name: &'static str,
    pub value: String,
}

/// What the samples say, and how well the map predicts them.
pub fn rows(plan: &Plan) -> Vec<NamedValue> {
    let cec = || plan.field.samples.iter().map(|sample| sample.cec);
    let count = plan.field.samples.len();
    let mean = cec().sum::<f64>() / count as f64;
    let (low, high) =
        (cec().fold(f64::INFINITY, f64::min), cec().fold(f64::NEG_INFINITY, f64::max));
    let mut rows = vec![
        NamedValue { name: "Samples", value: count.to_string() },
        NamedValue { name: "Mean CEC, meq/100 g", value: format!("{mean:.1}") },
        NamedValue { name: "Lowest to highest", value: format!("{low:.1} to {high:.1}") },
    ];
    if let Some(errors) = plan.surface.errors() {
        let explained = 100.0 * errors.r2_against_mean;
        rows.push(NamedValue {
            name: "Typical error, CEC points",
            value: format!("{:.1}", errors.rmse),
        });
        rows.push(NamedValue {
            name: "Share of the differences explained",
            value: if explained > 0.0 { format!("{explained:.0} %") } else { "nothing".to_owned() },
        });
    }
    rows
}
