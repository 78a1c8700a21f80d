//! Simulated fields whose true tons are known: how often these lie in the range that is stated to hold
//! them in four of five fields, by ground and number of samples, for both methods.
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

use coverage::coverage;
use ground::{Form, Ground, Kind, Make};

fn main() {
    let fields: u64 = std::env::args().find_map(|arg| arg.parse().ok()).unwrap_or(200);
    println!("{fields} fields of each kind; tons: truth less middle, its spread, half the range");
    println!("{:<44} {:>7}  {:<30}  kriging", "ground", "samples", "inverse distance");
    for kind in kinds() {
        let ground = Ground::new(kind);
        let Kind { form, range, nugget, make } = kind;
        for samples in [36, 81, 196] {
            let [distance, kriging] = coverage(&ground, samples, fields).map(|found| {
                let covered = 100.0 * found.covered;
                let (off, spread, half) = (found.off, found.spread, found.half);
                format!("{covered:>5.1} % {off:>6.2} {spread:>6.2} {half:>6.2}")
            });
            let name = format!("{make:?}, {form:?}, {range} m, nugget {nugget}");
            println!("{name:<44} {samples:>7}  {distance:<30}  {kriging}");
        }
    }
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
