//! Simulated fields whose ground is known. How much of it a plan puts into its right tier, before and after
//! islands join the tier around them, beside kriging by the true covariance on the same samples. Then how
//! often the true tons lie in the range that is stated to hold them in four of five fields, by ground and
//! number of samples, for both methods.
//!
//! What numbers of samples promise comes first; `cargo bench --bench simulated -- worth` stops there.
//!
//! `cargo bench --bench simulated`, or with another number of fields of each kind than 200:
//! `cargo bench --bench simulated -- 400`. With 200, a share of 80 % has a standard error of 2.8 %.

#![expect(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a benchmark prints, and stops at what it finds amiss; its counts are small"
)]

mod coverage;
mod ground;
mod right;
mod worth;

use coverage::coverage;
use ground::{Form, Ground, Kind, Make};
use right::{Right, right};
use worth::{Came, Promised, more, promised};

fn main() {
    let fields: u64 = std::env::args().find_map(|arg| arg.parse().ok()).unwrap_or(200);
    worths(fields);
    if std::env::args().any(|arg| arg == "worth") {
        return;
    }
    rights(fields);
    println!("{fields} fields of each kind; tons: truth less middle, its spread, half the range");
    println!("{:<44} {:>7}  {:<30}  kriging", "ground", "samples", "inverse distance");
    for kind in kinds() {
        let ground = Ground::new(kind);
        for samples in [36, 81, 196] {
            let [distance, kriging] = coverage(&ground, samples, fields).map(|found| {
                let covered = 100.0 * found.covered;
                let (off, spread, half) = (found.off, found.spread, found.half);
                format!("{covered:>5.1} % {off:>6.2} {spread:>6.2} {half:>6.2}")
            });
            println!("{:<44} {samples:>7}  {distance:<30}  {kriging}", kind.name());
        }
    }
}

/// What was promised of samples against what came, and what twenty more gain.
fn worths(fields: u64) {
    println!(
        "{fields} fields of each kind; ground in its right tier, percent, and tons misplaced:"
    );
    println!("promised by the true variogram, where it is one of ours, and by the samples' own;");
    println!("what came by kriging and by inverse distance");
    let show = |came: Option<Came>| {
        came.map_or_else(
            || format!("{:>13}", "-"),
            |Came { right, tons }| format!("{:>6.1} {tons:>6.1}", 100.0 * right),
        )
    };
    let grounds: Vec<Ground> = kinds().into_iter().map(Ground::new).collect();
    for samples in [16, 25, 49, 81, 121] {
        let mut all = Vec::new();
        for ground in &grounds {
            let found = promised(ground, samples, fields);
            let Promised { before, after, kriging, distance } = found;
            let shown = [before, Some(after), Some(kriging), Some(distance)].map(show).join(" ");
            println!("{:<44} {samples:>7}  {shown}", ground.kind.name());
            all.push(found);
        }
        let mean = |pick: fn(&Promised) -> Option<Came>| {
            let each: Vec<Came> = all.iter().filter_map(pick).collect();
            (!each.is_empty()).then(|| Came::mean(&each))
        };
        let shown = [
            mean(|found| found.before),
            mean(|found| Some(found.after)),
            mean(|found| Some(found.kriging)),
            mean(|found| Some(found.distance)),
        ];
        println!("{:<44} {samples:>7}  {}", "all", shown.map(show).join(" "));
    }
    println!("36 samples; 20 more by tons, by kriging variance, by coverage; a new layout of 56");
    for ground in &grounds {
        let found = more(ground, fields).map(|came| show(Some(came)));
        println!("{:<44}  {}", ground.kind.name(), found.join(" "));
    }
}

/// The share of ground in its right tier before and after islands join, and its bound.
fn rights(fields: u64) {
    println!(
        "{fields} fields of each kind; ground in its right tier, percent: islands kept, islands"
    );
    println!("joined, and kriging by the true covariance; islands that joined, a field");
    println!(
        "{:<44} {:>7}  {:>6} {:>6} {:>6} {:>8}",
        "ground", "samples", "kept", "joined", "bound", "islands"
    );
    let mut all = Vec::new();
    for kind in kinds()
        .into_iter()
        .filter(|kind| matches!((kind.make, kind.form), (Make::Normal, Form::Exponential)))
    {
        let ground = Ground::new(kind);
        for samples in [49, 81, 100] {
            let found = right(&ground, samples, fields);
            tell(
                &format!("{} m, nugget {}", kind.range, kind.nugget),
                &samples.to_string(),
                &found,
            );
            all.push(found);
        }
    }
    let mean = |pick: fn(&Right) -> f64| all.iter().map(pick).sum::<f64>() / all.len() as f64;
    let mean = Right {
        before: mean(|r| r.before),
        after: mean(|r| r.after),
        bound: mean(|r| r.bound),
        joined: mean(|r| r.joined),
    };
    tell("all", "", &mean);
}

fn tell(name: &str, samples: &str, Right { before, after, bound, joined }: &Right) {
    let [before, after, bound] = [before, after, bound].map(|share| 100.0 * share);
    println!("{name:<44} {samples:>7}  {before:>6.2} {after:>6.2} {bound:>6.2} {joined:>8.1}");
}

fn kinds() -> Vec<Kind> {
    let kind = |make, form, range, nugget| Kind { form, range, nugget, make };
    let mut kinds = Vec::new();
    for range in [150.0, 300.0, 600.0] {
        for nugget in [0.05, 0.25, 0.5] {
            kinds.push(kind(Make::Normal, Form::Exponential, range, nugget));
        }
    }
    for range in [200.0, 400.0, 600.0] {
        kinds.push(kind(Make::Normal, Form::Gaussian, range, 0.1));
        kinds.push(kind(Make::LogNormal, Form::Exponential, range, 0.2));
        kinds.push(kind(Make::TwoSoils, Form::Exponential, range, 0.2));
    }
    kinds
}
