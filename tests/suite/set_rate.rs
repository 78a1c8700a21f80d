//! Areas whose rate is set, whatever the soil test says there.

use std::path::Path;

use geo::{GeodesicArea as _, Polygon};
use landplaster::inspect;
use landplaster::plan::Plan;
use landplaster::warning::Warning;
use landplaster::work::{Memory, Work, WorkError};
use landplaster::write::Output;

use crate::planned::{FIELD, JOB, SAMPLES, task_files};

/// About 60 m by 55 m within the field, and one that laps over its western edge.
const LOT: &str = r#"{"type": "Polygon", "coordinates": [[
    [-85.1990, 40.4005], [-85.1983, 40.4005], [-85.1983, 40.4010], [-85.1990, 40.4010], [-85.1990, 40.4005]]]}"#;
const OVER_THE_EDGE: &str = r#"{"type": "Polygon", "coordinates": [[
    [-85.2010, 40.4012], [-85.1996, 40.4012], [-85.1996, 40.4016], [-85.2010, 40.4016], [-85.2010, 40.4012]]]}"#;

const SET: &str =
    "[[set_rate]]\nfile = \"lot.geojson\"\nrate = \"0.25 ton/ac\"\nwhy = \"old feed lot\"\n";

fn planned(rest: &str, lot: &str) -> Result<(Plan, Output), WorkError> {
    let mut files = Memory::default();
    files.put("field.geojson", FIELD).put("samples.csv", SAMPLES).put("lot.geojson", lot);
    files.put("edge.geojson", OVER_THE_EDGE);
    Work::of_file(Path::new("field.toml"), &format!("{JOB}{rest}"))?.plan(&files)
}

/// Karney's areas on the ellipsoid (crate `geo`), in acres.
fn acres(polygon: &Polygon<f64>) -> f64 {
    polygon.geodesic_area_unsigned() / 4_046.856_422_4
}

fn polygon(text: &str) -> Polygon<f64> {
    text.parse::<geojson::Geometry>().unwrap().try_into().unwrap()
}

#[test]
fn the_area_is_a_zone_of_its_own_exact_to_its_outline() {
    let lot = acres(&polygon(LOT));
    for zones in ["", "[zones]\nclean_up = false\n", "[zones]\nheading = 20\n"] {
        let swath = if zones.contains("heading") { "swath = \"40 ft\"\n" } else { "" };
        let (whole, _) = planned(&format!("{swath}{zones}"), LOT).unwrap();
        let (plan, output) = planned(&format!("{swath}{SET}{zones}"), LOT).unwrap();
        let set: Vec<_> = plan.zones.iter().filter(|zone| zone.tier.number() == 4).collect();
        let [zone] = &set[..] else { panic!("{} zones", set.len()) };
        assert!((acres(&zone.polygon) - lot).abs() < 1e-4, "{} for {lot}", acres(&zone.polygon));
        assert!((zone.amount.printed_mass - 0.25 * lot).abs() < 0.006);
        // The rest of the field keeps its ground and what the soil test gives it.
        let others: f64 = plan.zones.iter().map(|zone| acres(&zone.polygon)).sum();
        let field: f64 = whole.zones.iter().map(|zone| acres(&zone.polygon)).sum();
        assert!((others - field).abs() < 1e-4);
        let (tier, amount) = &plan.tiers[3];
        assert_eq!(tier.label, "old feed lot, rate set");
        assert_eq!(amount.printed_mass, zone.amount.printed_mass);
        let tons: f64 = plan.tiers.iter().map(|(_, amount)| amount.printed_mass).sum();
        assert!((tons - plan.total.printed_mass).abs() < 1e-9);
        assert_eq!(output.totals.tiers[3].set, Some(true));
        assert_eq!(output.totals.tiers[2].set, None);
    }
}

/// What the tons would be if every acre got what its soil calls for leaves out ground that gets
/// something else; the odds of a zone are those of a soil test.
#[test]
fn the_soil_test_has_no_say_in_it() {
    let [none, much] = ["0 ton/ac", "2 ton/ac"].map(|rate| {
        let (plan, _) = planned(&SET.replace("0.25 ton/ac", rate), LOT).unwrap();
        let certainty = plan.certainty.clone().unwrap();
        assert!(certainty.zones.iter().all(|zone| plan.zones[zone.number - 1].tier.number() < 4));
        assert_eq!(certainty.zones.len() + 1, plan.zones.len());
        (plan, certainty.tons)
    });
    let more = 2.0 * acres(&polygon(LOT));
    assert!((much.1.low.as_tons() - none.1.low.as_tons() - more).abs() < 1e-3);
    assert!((much.1.high.as_tons() - none.1.high.as_tons() - more).abs() < 1e-3);
    assert!((much.0.total.mass.as_tons() - none.0.total.mass.as_tons() - more).abs() < 1e-3);
}

#[test]
fn what_is_kept_out_stays_so_and_the_first_has_the_ground() {
    let keep = "[[keep_out]]\nfile = \"lot.geojson\"\ndistance = \"0 ft\"\nwhy = \"yard\"\n";
    let (plan, _) = planned(&format!("{keep}{SET}"), LOT).unwrap();
    assert!(plan.zones.iter().all(|zone| zone.tier.number() < 4));
    assert!(plan.warnings.iter().any(|warning| matches!(warning, Warning::SetRateCovered { .. })));
    let second = SET.replace("0.25", "1.5").replace("old feed lot", "lime pile");
    let (plan, _) = planned(&format!("{SET}{second}"), LOT).unwrap();
    assert_eq!(plan.tiers[4].0.label, "lime pile, rate set");
    assert_eq!(plan.tiers[4].1.printed_area, 0.0);
    assert!(plan.tiers[3].1.printed_area > 0.5);
    // What lies over the edge counts as far as the field goes.
    let (plan, _) = planned(&SET.replace("lot.geojson", "edge.geojson"), LOT).unwrap();
    let inside = acres(&polygon(&OVER_THE_EDGE.replace("-85.2010", "-85.2000")));
    assert!((plan.tiers[3].1.area.as_acres() - inside).abs() < 2e-4);
}

/// A rate that is set goes by the same limits and into every file, as product where rates are pure
/// gypsum.
#[test]
fn it_is_a_rate_like_others() {
    let order = "max_rate = \"1 ton/ac\"\n[order]\nbasis = \"pure gypsum\"\npurity = \"80 %\"\nmoisture = \"0 %\"\n";
    let text = format!("{order}{}", SET.replace("0.25", "0.6"));
    let (plan, output) = planned(&text, LOT).unwrap();
    assert!((plan.tiers[3].0.rate.as_tons_per_acre() - 0.75).abs() < 1e-12);
    assert_eq!(output.totals.tiers[3].rate_pure, Some(0.6));
    let (plan, _) =
        planned(&format!("max_rate = \"1 ton/ac\"\n{}", SET.replace("0.25", "1.5")), LOT).unwrap();
    assert_eq!(plan.tiers[3].0.rate.as_tons_per_acre(), 1.0);
    for form in ["zones", "zone grid", "rate grid"] {
        let taskdata = format!("{SET}[taskdata]\nform = \"{form}\"\n");
        let (_, output) = planned(&taskdata, LOT).unwrap();
        let report = inspect::folder("TASKDATA", &task_files(&output)).unwrap();
        assert!(report.departures.is_empty(), "{:?}", report.departures);
    }
}

#[test]
fn faults_are_told() {
    let said = |rest: &str, lot: &str| planned(rest, lot).unwrap_err().to_string();
    let line =
        r#"{"type": "LineString", "coordinates": [[-85.1990, 40.4005], [-85.1983, 40.4005]]}"#;
    assert_eq!(
        said(SET, line),
        "set_rate 1 (lot.geojson): found only points and lines, expected areas; draw the area around them"
    );
    assert_eq!(
        said(SET, FIELD),
        "set_rate 1 (lot.geojson): the whole field has its rate set, nothing takes one by its CEC; give the field that rate as its one [[tier]], or check the file"
    );
    assert!(
        said(&SET.replace("0.25 ton", "40 ton"), LOT).contains("set_rate 1 (lot.geojson), rate")
    );
    assert!(said(&SET.replace("old feed lot", " "), LOT).contains("expected a reason for it"));
    let far = LOT.replace("-85.19", "-86.19");
    let (plan, _) = planned(SET, &far).unwrap();
    assert!(matches!(plan.warnings[0], Warning::SetRateMissing { .. }), "{:?}", plan.warnings);
}
