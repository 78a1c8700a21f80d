//! Where to sample and what it is worth, in words: the summary, the sheet for the field, the table of
//! what numbers of samples are worth.

mod grids;
mod sheet;
mod steps;
mod summary;
mod worth;

pub use grids::grids;
pub use sheet::sampling_sheet;
pub use summary::sampling_summary;
pub use worth::{worth_picture, worth_table, worth_text};

use crate::sampling::{Layout, Nearness, Pattern, SamplingPlan, Taking};
use crate::units::{Quantity, System};

/// How a sample is taken, in a sentence.
#[must_use]
pub fn how_taken(plan: &SamplingPlan) -> String {
    let (taking, system) = (plan.field.taking, plan.field.system);
    let within = taking.within.show(system, 0);
    format!(
        "{} cores within {within} of the point, {} deep, mixed into one sample.",
        taking.cores,
        depth(taking, system).replace('-', " to ")
    )
}

/// The depth as laboratories write it.
#[must_use]
pub fn depth(taking: Taking, system: System) -> String {
    let [from, to] = taking.depth.map(|depth| match system {
        System::Us => depth.as_inches(),
        System::Metric => depth.as_centimetres().round(),
    });
    let unit = match system {
        System::Us => "in",
        System::Metric => "cm",
    };
    let short = |number: f64| crate::report::short_rate(number);
    format!("{}-{} {unit}", short(from), short(to))
}

/// A layout in words.
fn called(layout: Layout) -> &'static str {
    match layout {
        Layout::Grid(Pattern::Square) => "square grid",
        Layout::Grid(Pattern::Triangular) => "triangular grid",
        Layout::Coverage => "spread by coverage",
    }
}

/// How near the samples are to all ground, beside the other layout.
fn nearness(plan: &SamplingPlan) -> Vec<String> {
    let system = plan.field.system;
    let told = |near: &Nearness| near.distance.show(system, 0);
    let Some(own) = &plan.layout else { return Vec::new() };
    let mut lines = vec![format!(
        "Layout: {}; the ground is {} from its nearest sample (root mean square).",
        called(own.layout),
        told(own)
    )];
    if let Some(other) = &plan.other {
        // By samples of one number: the mean square falls as their number rises.
        let of = |near: &Nearness| near.distance.si().powi(2) * near.samples as f64;
        let ratio = of(other) / of(own);
        let (samples, name) = (other.samples, called(other.layout));
        let is_better = if ratio < 0.995 {
            let how = match other.layout {
                Layout::Coverage => "coverage",
                Layout::Grid(Pattern::Square) => "square",
                Layout::Grid(Pattern::Triangular) => "triangular",
            };
            format!(", better for this field: add --layout {how}")
        } else if ratio > 1.005 {
            ", no better for this field".to_owned()
        } else {
            ", as good".to_owned()
        };
        lines.push(format!(
            "{samples} samples {}{name}: {}{is_better}.",
            if matches!(other.layout, Layout::Coverage) { "" } else { "on a " },
            told(other)
        ));
    }
    lines
}

/// What more samples are expected to bring.
fn promise(plan: &SamplingPlan) -> Vec<String> {
    let Some(promise) = &plan.promise else { return Vec::new() };
    let system = plan.field.system;
    let tons = |(mass, _): (crate::units::Mass, f64)| mass.show(system, 2);
    let more = plan.samples.len();
    vec![
        format!(
            "By today's samples {} are expected to be spread where the soil calls for another rate (short and over together).",
            tons(promise.now)
        ),
        format!(
            "With these {more}: {}. The same number at the places of least kriging variance: {}; spread by coverage between today's: {}.",
            tons(promise.then),
            tons(promise.by_variance),
            tons(promise.by_coverage)
        ),
        format!(
            "Mean kriging variance of CEC: {:.2} now, {:.2} with these, {:.2} at its least.",
            promise.now.1, promise.then.1, promise.by_variance.1
        ),
    ]
}
