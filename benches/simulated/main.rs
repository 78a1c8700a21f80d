//! Held against simulated fields whose truth is known: how often the true tons lie in the stated
//! range, and the share of ground in its right tier.
//!
//! `cargo bench --bench simulated`, or with the number of fields a kind: `... -- 400`.

#![expect(clippy::expect_used, clippy::print_stdout, reason = "a benchmark prints, and stops at what it finds amiss")]
#![allow(missing_docs, clippy::cast_possible_truncation, clippy::cast_sign_loss)]

mod ground;

use ground::{Form, Ground, Kind, Make, Sequence};
use landplaster::plan::{Method, SurfaceSettings};
use rayon::prelude::*;

fn main() {
    let count: u64 = std::env::args().filter_map(|arg| arg.parse().ok()).next().unwrap_or(200);
    let kind = |form, range, nugget, make| Kind { form, range, nugget, make };
    let mut kinds = Vec::new();
    for range in [150.0, 300.0, 600.0] {
        for nugget in [0.05, 0.25, 0.5] {
            kinds.push(kind(Form::Exponential, range, nugget, Make::Normal));
        }
    }
    for range in [200.0, 400.0, 600.0] {
        kinds.push(kind(Form::Gaussian, range, 0.1, Make::Normal));
        kinds.push(kind(Form::Exponential, range, 0.2, Make::LogNormal));
        kinds.push(kind(Form::Exponential, range, 0.2, Make::TwoSoils));
    }
    let only = std::env::var("KIND").ok();
    println!("{count} fields each; share of fields whose true tons lie in the range (stated: 80 %)");
    println!("{:<38} {:>3}  {:>6} {:>6} {:>6}  {:>6} {:>6} {:>6}", "ground", "n", "idw", "off", "wide", "krig", "off", "wide");
    let mut all = [(0.0, 0.0); 2];
    for kind in kinds {
        let name = format!("{:?} {:?} {} m, nugget {}", kind.make, kind.form, kind.range, kind.nugget);
        if only.as_ref().is_some_and(|only| !name.contains(only)) { continue; }
        let ground = Ground::new(kind);
        for samples in [36, 81, 196] {
            let mut line = format!("{name:<38} {samples:>3}");
            for (slot, method) in [Method::InverseDistance, Method::Kriging].into_iter().enumerate() {
                let found: Vec<(bool, f64, f64)> = (0..count).into_par_iter().map(|number| {
                    let mut sequence = Sequence(number * 7919 + samples as u64);
                    let drawn = ground.draw(samples, &mut sequence);
                    let plan = drawn.plan(SurfaceSettings { method, ..SurfaceSettings::default() }, None);
                    let (tons, _) = drawn.truth(&plan);
                    let range = plan.certainty.expect("enough samples").tons;
                    let (low, high) = (range.low.as_tons(), range.high.as_tons());
                    (low <= tons && tons <= high, (tons - 0.5 * (low + high)) , 0.5 * (high - low))
                }).collect();
                let n = count as f64;
                let share = found.iter().filter(|f| f.0).count() as f64 / n;
                let off = found.iter().map(|f| f.1).sum::<f64>() / n;
                let var = found.iter().map(|f| f.1 * f.1).sum::<f64>() / n;
                let wide = (found.iter().map(|f| f.2 * f.2).sum::<f64>() / n).sqrt() / 1.2816 / var.sqrt();
                line += &format!("  {:>6.1} {:>6.2} {:>6.2}", 100.0 * share, off, wide);
                all[slot].0 += share; all[slot].1 += 1.0;
            }
            println!("{line}");
        }
    }
    println!("mean {:.3} {:.3}", all[0].0 / all[0].1, all[1].0 / all[1].1);
}
