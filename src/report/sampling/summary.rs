use super::{how_taken, nearness, promise};
use crate::report::warnings::line;
use crate::sampling::SamplingPlan;
use crate::units::{Length, Quantity, System, count};
use crate::warning::Warning;

/// What is printed of a sampling plan; `planned` is what the command that plans by it is to have for its
/// boundary and its samples, where there is no job.
#[must_use]
pub fn sampling_summary(
    plan: &SamplingPlan,
    warnings: &[Warning],
    planned: Option<(&str, &str)>,
    folder: impl std::fmt::Display,
    files: &[&str],
) -> String {
    let field = &plan.field;
    let system = field.system;
    let samples = count(plan.samples.len(), "sample", "samples");
    let ground = field.ground.area().show(system, 1);
    let taken = field.taken.len();
    let besides = match taken {
        0 => String::new(),
        taken => format!(" beside {taken} taken already"),
    };
    let mut lines = vec![format!(
        "{}: {samples}{besides} on {ground}, one for {}",
        field.name,
        plan.area_each().show(system, 2)
    )];
    lines.extend(warnings.iter().map(|warning| line(warning, system)));
    lines.extend(nearness(plan));
    lines.extend(promise(plan));
    lines.push(format!("Each: {}", how_taken(plan)));
    lines.push(format!("The way round: {}.", way(plan)));
    if let (Some(first), Some(last)) = (plan.samples.first(), plan.samples.last()) {
        lines.push(format!("Names: {} to {}, in walking order.", first.id, last.id));
    }
    lines.push(
        "Once bags bear these names, keep the folder: another run gives them to other places."
            .to_owned(),
    );
    lines.push("Depth, cores and bags: the laboratory's own instructions come first.".to_owned());
    lines.push(
        "Have buried lines marked before probing (in the United States: call 811).".to_owned(),
    );
    lines.push(format!("\n{folder}: {}", files.join(", ")));
    lines.push(match planned {
        Some((boundary, points)) => format!(
            "With the laboratory's answer: landplaster plan --boundary {boundary} --samples {points} --laboratory RESULTS.csv"
        ),
        None => "With the laboratory's answer: add these samples and their results to the job's files, and plan it again.".to_owned(),
    });
    if planned.is_some() && taken > 0 {
        lines.push(format!(
            "The {taken} taken already are in none of these files: to plan by them too, add their places to points.geojson and their results to the laboratory's."
        ));
    }
    lines.join("\n") + "\n"
}

/// How far it is to walk, from where.
pub(super) fn way(plan: &SamplingPlan) -> String {
    let long = match plan.field.system {
        System::Us if plan.walk.as_miles() >= 0.25 => format!("{:.1} miles", plan.walk.as_miles()),
        System::Metric if plan.walk.as_kilometres() >= 1.0 => {
            format!("{:.1} km", plan.walk.as_kilometres())
        }
        system => format!("{:.0} {}", plan.walk.value_in(system), Length::unit(system).symbol()),
    };
    let from = if plan.field.gate.is_some() {
        "from the gate and back"
    } else {
        "from the first sample and back to it (--gate starts it at the gate)"
    };
    let across = if plan.field.keep_outs.is_empty() { "" } else { ", across what is kept out too" };
    format!("{long} {from}, straight from sample to sample{across}")
}
