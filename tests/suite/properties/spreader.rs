//! What must hold for every machine and every pattern.
#![expect(clippy::unwrap_used, reason = "tests stop at the first surprise")]

use landplaster::spreader::Range;
use landplaster::spreader::flow::Stream;
use landplaster::spreader::gate::{BeltState, GateTier, Limits, Solution, rows, solve};
use landplaster::spreader::pans::{DrivingPattern, Pattern, overlap, uniformity};
use landplaster::units::{Density, Length, Quantity, Rate, Share, Speed};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

fn range<Q: Quantity>(
    least: f64,
    most: f64,
    times: f64,
    make: fn(f64) -> Q,
) -> impl Strategy<Value = Range<Q>>
where
    Range<Q>: std::fmt::Debug,
{
    (least..most, 1.0..times).prop_map(move |(low, times)| Range::new(make(low), make(low * times)))
}

/// Machines of all sizes; many of them cannot serve all tiers with one opening.
fn machine() -> impl Strategy<Value = (Limits, Vec<GateTier>)> {
    let stream = (16.0..60.0, 60.0..100.0, 30.0..110.0).prop_map(|(width, fill, density)| Stream {
        belt_width: Length::inches(width),
        fill_factor: Share::percent(fill),
        density: Density::pounds_per_cubic_foot(density),
    });
    let limits = (
        stream,
        20.0..80.0,
        range(2.0, 20.0, 20.0, Speed::feet_per_minute),
        range(1.0, 4.0, 8.0, Length::inches),
        proptest::option::of(0.25..1.0),
        range(4.0, 10.0, 2.0, Speed::miles_per_hour),
    )
        .prop_map(|(stream, swath, belt_speed, gate_opening, step, ground_speed)| Limits {
            stream,
            swath: Length::feet(swath),
            belt_speed,
            gate_opening,
            gate_step: step.map(Length::inches),
            ground_speed,
        });
    let tiers = prop::collection::vec(0.2..3.0, 1..5).prop_map(|rates| {
        let tier =
            |rate| GateTier { label: String::new(), rate: Rate::tons_per_acre(rate), area: None };
        rates.into_iter().map(tier).collect()
    });
    (limits, tiers)
}

/// Ten ground speeds from the slowest to the fastest.
fn speeds(range: Range<Speed>) -> Vec<Speed> {
    (0..10).map(|i| range.least + (range.most - range.least) * (f64::from(i) / 9.0)).collect()
}

/// Whether the belt can follow every tier at every speed, looked at one by one.
fn serves(limits: &Limits, tiers: &[GateTier], opening: Length, speeds: &[Speed]) -> bool {
    rows(limits, tiers, opening, speeds).iter().all(|row| row.state == BeltState::Within)
}

fn openings(limits: &Limits) -> impl Iterator<Item = Length> {
    let gate = limits.gate_opening;
    (0..=200).map(move |i| gate.least + (gate.most - gate.least) * (f64::from(i) / 200.0))
}

/// On 10,000 random machines: no recommendation outside a limit, and never "impossible" where a
/// search over 201 openings and 10 speeds finds one that serves.
#[test]
fn the_solver_against_a_search() {
    let counts = std::cell::Cell::new([0_u32; 5]);
    let count = |i: usize| {
        let mut all = counts.get();
        all[i] += 1;
        counts.set(all);
    };
    let config = Config { failure_persistence: None, ..Config::with_cases(10_000) };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, rng);
    let outcome = runner.run(&machine(), |(limits, tiers)| {
        let driven = speeds(limits.ground_speed);
        match solve(&limits, &tiers) {
            Solution::Opening(found) => {
                count(0);
                prop_assert!(limits.gate_opening.holds(found.opening));
                prop_assert!(found.serves.holds(found.opening));
                prop_assert!(serves(&limits, &tiers, found.opening, &driven));
                for at in openings(&limits) {
                    let inside = found.serves.holds(at);
                    prop_assert!(
                        inside == serves(&limits, &tiers, at, &driven) || close(at, found.serves)
                    );
                }
            }
            Solution::NoOpening(found) => {
                count(1);
                for at in openings(&limits) {
                    prop_assert!(!serves(&limits, &tiers, at, &driven), "{at:?} serves");
                }
                prop_assert!(!found.breaks.is_empty());
                prop_assert!(limits.gate_opening.holds(found.nearest));
                let other = found.alternatives;
                if let Some(windows) = &other.windows {
                    count(2);
                    prop_assert!(limits.gate_opening.holds(windows.opening));
                    for (tier, window) in &windows.tiers {
                        prop_assert!(limits.ground_speed.holds(window.least));
                        prop_assert!(limits.ground_speed.holds(window.most));
                        let one = std::slice::from_ref(tier);
                        prop_assert!(serves(&limits, one, windows.opening, &speeds(*window)));
                    }
                } else {
                    for at in openings(&limits) {
                        let driveable = |tier: &GateTier| {
                            driven
                                .iter()
                                .any(|v| serves(&limits, std::slice::from_ref(tier), at, &[*v]))
                        };
                        prop_assert!(!tiers.iter().all(driveable), "{at:?} has windows");
                    }
                }
                if let Some(half) = &other.half_rates {
                    count(3);
                    prop_assert!(serves(
                        &limits,
                        &half.tiers,
                        half.recommendation.opening,
                        &driven
                    ));
                }
                if let Some(two) = &other.two_openings {
                    count(4);
                    for (tiers, found) in [&two.light, &two.heavy] {
                        prop_assert!(serves(&limits, tiers, found.opening, &driven));
                        prop_assert!(limits.gate_opening.holds(found.opening));
                    }
                }
            }
        }
        Ok(())
    });
    if let Err(error) = outcome {
        panic!("{error}");
    }
    let counts = counts.get();
    assert_eq!(counts[0] + counts[1], 10_000);
    assert!(counts.iter().all(|n| *n > 200), "every outcome is tried: {counts:?}");
}

/// At the very end of a range the last bits decide.
fn close(at: Length, ends: Range<Length>) -> bool {
    [ends.least, ends.most].into_iter().any(|end| (at / end - 1.0).abs() < 1e-8)
}

fn pattern() -> impl Strategy<Value = Pattern> {
    let rates = prop::collection::vec(0.0..5.0_f64, 2..20);
    (1.0..6.0_f64, rates, 0.1..5.0_f64).prop_map(|(spacing, side, centre)| {
        let mut rates: Vec<f64> = side.iter().copied().rev().collect();
        rates.push(centre);
        rates.extend(side.iter().map(|rate| rate * 0.8));
        let first = Length::feet(-spacing * side.len() as f64);
        let rates = rates.into_iter().map(Rate::tons_per_acre).collect();
        Pattern::new(first, Length::feet(spacing), rates).unwrap()
    })
}

proptest! {
    /// What lands on the field is what was caught: mean x swath = sum of catches x spacing.
    #[test]
    fn nothing_is_lost_in_the_overlap(pattern in pattern(), steps in 2..40_u32) {
        let swath = pattern.spacing() * f64::from(steps);
        let caught: f64 = pattern.rates().iter().map(|rate| rate.si()).sum();
        for driving in [DrivingPattern::Race, DrivingPattern::BackAndForth] {
            let landed: Vec<Rate> = overlap(&pattern, swath, driving).into_iter().map(|(_, r)| r).collect();
            let passes = if driving == DrivingPattern::Race { 1 } else { 2 };
            prop_assert_eq!(landed.len(), (steps * passes) as usize);
            let mean = uniformity(&landed).unwrap().mean;
            let spread = mean.si() * swath.si();
            prop_assert!((spread / (caught * pattern.spacing().si()) - 1.0).abs() < 1e-9);
            prop_assert!((pattern.apparent_rate(swath) / mean - 1.0).abs() < 1e-9);
        }
    }

    /// A triangle driven at half its base is perfectly even, both ways.
    #[test]
    fn a_triangle_at_half_its_base(half in 2..30_i32, spacing in 0.5..8.0_f64, peak in 0.1..9.0_f64) {
        let rates = (-half..=half)
            .map(|i| Rate::tons_per_acre(peak * f64::from(half - i.abs()) / f64::from(half)))
            .collect();
        let first = Length::feet(-spacing * f64::from(half));
        let triangle = Pattern::new(first, Length::feet(spacing), rates).unwrap();
        let swath = Length::feet(spacing * f64::from(half));
        for driving in [DrivingPattern::Race, DrivingPattern::BackAndForth] {
            let landed: Vec<Rate> = overlap(&triangle, swath, driving).into_iter().map(|(_, r)| r).collect();
            prop_assert!(uniformity(&landed).unwrap().cv.si() < 1e-9);
        }
    }

    /// A pattern that is the same on both sides lands the same whichever way it is driven.
    #[test]
    fn symmetric_patterns_do_not_care(side in prop::collection::vec(0.0..5.0_f64, 3..15), steps in 2..30_u32) {
        let mut rates: Vec<f64> = side.iter().copied().rev().collect();
        rates.push(3.0);
        rates.extend(&side);
        let first = Length::feet(-5.0 * side.len() as f64);
        let rates = rates.into_iter().map(Rate::tons_per_acre).collect();
        let pattern = Pattern::new(first, Length::feet(5.0), rates).unwrap();
        let swath = Length::feet(5.0 * f64::from(steps));
        let [race, both] = [DrivingPattern::Race, DrivingPattern::BackAndForth].map(|driving| overlap(&pattern, swath, driving));
        for (a, b) in race.iter().zip(&both) {
            prop_assert!((a.1 - b.1).si().abs() < 1e-9);
        }
    }
}
