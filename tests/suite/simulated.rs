//! The range of tons holds the true ones in about four of five simulated fields, and islands that join
//! what is around them cost no ground its right tier. The whole tables, of more ground and more fields,
//! are `cargo bench --bench simulated`.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of a field's places are small"
)]

#[path = "../../benches/simulated/coverage.rs"]
mod coverage;
#[expect(dead_code, reason = "the whole table has more ground")]
#[path = "../../benches/simulated/ground.rs"]
mod ground;
#[path = "../../benches/simulated/right.rs"]
mod right;
#[expect(dead_code, reason = "twenty more samples are judged on the whole table")]
#[path = "../../benches/simulated/worth.rs"]
mod worth;

use coverage::coverage;
use ground::{Form, Ground, Kind, Make};
use right::right;
use worth::promised;

/// Of 60 fields, 80 % plus or minus three standard errors of `sqrt(0.8 * 0.2 / 60)`, 5.2 %, and five
/// for what the method may be off.
#[test]
fn the_stated_range_of_tons_is_true() {
    let kind = Kind { form: Form::Exponential, range: 300.0, nugget: 0.2, make: Make::Normal };
    let mut ground = Ground::new(kind);
    for make in [Make::Normal, Make::LogNormal, Make::TwoSoils] {
        ground.kind.make = make;
        for found in coverage(&ground, 49, 60) {
            println!("{make:?}: {found:?}");
            assert!((0.595..=1.0).contains(&found.covered), "{make:?}: {found:?}");
            // Not by being wide: within 1.96 standard deviations are 95 % of a normal distribution.
            assert!(found.half < 1.96 * found.spread, "{make:?}: {found:?}");
        }
    }
}

/// Of 40 fields. Kriging by the true covariance is the bound: nothing that is made of the same samples
/// knows more of the ground. A plan is below it for what is estimated and what the spreader cannot follow.
#[test]
fn islands_that_join_cost_no_ground_its_right_tier() {
    for (range, nugget) in [(300.0, 0.05), (300.0, 0.5)] {
        let kind = Kind { form: Form::Exponential, range, nugget, make: Make::Normal };
        let found = right(&Ground::new(kind), 49, 40);
        println!("{range} m, nugget {nugget}: {found:?}");
        assert!(found.joined > 0.2, "{found:?}");
        // A thousandth is what a field or two of the 40 turn by.
        assert!(found.after > found.before - 0.001, "{found:?}");
        assert!(found.after > found.bound - 0.02, "{found:?}");
    }
}

/// Of 30 fields, what samples promise before they are taken is within 3 points of what comes, and two
/// for so few fields.
#[test]
fn what_samples_promise_comes() {
    let kind = Kind { form: Form::Exponential, range: 300.0, nugget: 0.25, make: Make::Normal };
    let ground = Ground::new(kind);
    for samples in [25, 81] {
        let found = promised(&ground, samples, 30);
        println!("{samples}: {found:?}");
        let before = found.before.expect("a variogram of ours");
        assert!((before.right - found.kriging.right).abs() < 0.05, "{found:?}");
        assert!((before.tons / found.kriging.tons - 1.0).abs() < 0.15, "{found:?}");
    }
}
