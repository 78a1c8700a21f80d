//! Stages that are kept: what is planned again from the middle is what would be planned from the
//! start.

use landplaster::plan::{Fit, Plan, PlanError, Surfaced, Zoned};
use landplaster::units::{Length, Mass, System, Written};
use landplaster::write::{Extras, OutputFile, output};

use crate::planned::{FIELD, SAMPLES, plan_around, prepared};

const DITCH: &str =
    r#"{"type": "LineString", "coordinates": [[-85.1988, 40.39], [-85.1988, 40.41]]}"#;
const KEEP_OUT: &str = "[[keep_out]]\nfile = \"ditch\"\ndistance = \"35 ft\"\nwhy = \"ditch\"\n";

fn tiers(middle: f64) -> String {
    format!(
        "[[tier]]\nunder = {middle}\nrate = \"0.5 ton/ac\"\n[[tier]]\nfrom = {middle}\nrate = \"1 ton/ac\"\n"
    )
}

fn files(plan: &Plan) -> Vec<OutputFile> {
    output(plan, &Extras::default()).unwrap().files
}

#[test]
fn other_tiers_on_a_kept_surface() {
    // 9 and 14 are samples: at a break of their CEC they are a point and no zone.
    let first = prepared(&tiers(10.0), FIELD, SAMPLES, DITCH);
    let surfaced =
        Surfaced::new(first.field, &first.settings.surface, first.settings.grid).unwrap();
    for middle in [9.0, 10.5, 13.0, 14.0] {
        for clean_up in ["", "[zones]\nclean_up = false\n", "swath = \"40 ft\"\n"] {
            let job = if clean_up.starts_with('s') {
                format!("{clean_up}{}[zones]\nheading = 30\n", tiers(middle))
            } else {
                format!("{}{clean_up}", tiers(middle))
            };
            let settings = prepared(&job, FIELD, SAMPLES, DITCH).settings;
            let zoned = Zoned::new(&surfaced, &settings).unwrap();
            let again = Plan::new(&surfaced, &zoned, settings).unwrap();
            assert_eq!(files(&again), files(&plan_around(&job, FIELD, SAMPLES, DITCH)), "{job}");
        }
    }
}

#[test]
fn other_ground_kept_out_of_a_kept_surface() {
    let job = format!("{}{KEEP_OUT}", tiers(10.0));
    let whole = plan_around(&job, FIELD, SAMPLES, DITCH);
    let plain = prepared(&tiers(10.0), FIELD, SAMPLES, DITCH);
    let surfaced =
        Surfaced::new(plain.field, &plain.settings.surface, plain.settings.grid).unwrap();
    let layer = landplaster::field::KeepOutLayer {
        called: "keep_out 1 (keep-out.geojson)".to_owned(),
        why: "ditch".to_owned(),
        distance: Written { value: Length::feet(35.0), system: System::Us },
        features: landplaster::read::features(
            &crate::planned::source("keep-out.geojson", DITCH),
            &landplaster::read::FeatureSettings::default(),
        )
        .unwrap()
        .value,
    };
    let kept = surfaced.with_areas_apart(vec![layer], Vec::new()).unwrap();
    let zoned = Zoned::new(&kept, &plain.settings).unwrap();
    let again = Plan::new(&kept, &zoned, plain.settings.clone()).unwrap();
    assert!(!again.unspread.is_empty());
    assert_eq!(files(&again), files(&whole));
}

/// The map of another amount, by either way, is planned to be that amount: rates scale exactly, breaks
/// go by tenths of CEC.
#[test]
fn an_amount_is_come_to_by_rates_or_by_breaks() {
    let first = prepared(&tiers(10.0), FIELD, SAMPLES, DITCH);
    let surfaced =
        Surfaced::new(first.field, &first.settings.surface, first.settings.grid).unwrap();
    let planned = |job: &str| {
        let settings = prepared(job, FIELD, SAMPLES, DITCH).settings;
        let zoned = Zoned::new(&surfaced, &settings).unwrap();
        Plan::new(&surfaced, &zoned, settings).unwrap().total.mass.as_tons()
    };
    let settings = first.settings;
    for target in [6.0, 8.0, 9.5] {
        let fit = Fit::to(Mass::tons(target), &surfaced, &settings).unwrap();
        let factor = fit.factor.unwrap();
        let scaled = tiers(10.0).replace("0.5 ton", &format!("{} ton", 0.5 * factor));
        let scaled = planned(&scaled.replace("\"1 ton", &format!("\"{factor} ton")));
        assert!((scaled - target).abs() < 1e-6, "{scaled} tons for {target}");
        let middle = 10.0 + fit.shift.unwrap();
        let moved = planned(&tiers(middle));
        let [less, more] = [planned(&tiers(middle + 0.1)), planned(&tiers(middle - 0.1))];
        assert!(less <= target.max(moved) && target.min(moved) <= more, "{less} {moved} {more}");
        assert!((moved - target).abs() <= (less - target).abs() + 1e-9);
        assert!((moved - target).abs() <= (more - target).abs() + 1e-9);
    }
    // All of the field at the highest rate is 10 tons: no break makes more of it.
    let fit = Fit::to(Mass::tons(12.0), &surfaced, &settings).unwrap();
    assert!(fit.shift.is_none() && fit.factor.is_some());
}

/// Zones of one set of tiers never become the plan of another.
#[test]
fn stages_of_other_settings_are_refused() {
    let first = prepared(&tiers(10.0), FIELD, SAMPLES, DITCH);
    let surfaced =
        Surfaced::new(first.field.clone(), &first.settings.surface, first.settings.grid).unwrap();
    let zoned = Zoned::new(&surfaced, &first.settings).unwrap();
    for job in [tiers(11.0), format!("{}[surface]\npower = 3\n", tiers(10.0))] {
        let other = prepared(&job, FIELD, SAMPLES, DITCH).settings;
        let refused = Plan::new(&surfaced, &zoned, other);
        assert!(matches!(refused, Err(PlanError::OtherStage)));
    }
}
