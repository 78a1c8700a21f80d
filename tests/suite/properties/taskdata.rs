//! Task data and shapefiles of any field say what was planned.

use landplaster::inspect::{RateSetting, archive, folder, zones};
use landplaster::read::{Cell, zone_file};
use landplaster::units::{Mass, Quantity};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

use crate::planned::{bytes, output, plan, plan_around, shapefile, source, task_files};

const FORMS: [&str; 3] = ["zones", "zone grid", "rate grid"];

/// A ring around a center, in degrees: one distance in meters for each of equally spaced
/// directions, its positions written to the given number of decimals.
fn ring(centre: (f64, f64), reach: &[f64], clockwise: bool) -> String {
    let turn = std::f64::consts::TAU / reach.len() as f64;
    let mut corners: Vec<String> = reach
        .iter()
        .enumerate()
        .map(|(i, r)| {
            let (sin, cos) = (turn * i as f64).sin_cos();
            let east = r * cos / (111_320.0 * centre.1.to_radians().cos());
            format!("[{:.8},{:.8}]", centre.0 + east, centre.1 + r * sin / 111_320.0)
        })
        .collect();
    corners.push(corners[0].clone());
    if clockwise {
        corners.reverse();
    }
    format!("[{}]", corners.join(","))
}

#[derive(Clone, Debug)]
struct Case {
    boundary: String,
    samples: String,
    /// A well that some jobs keep from.
    well: String,
    job: String,
}

/// What is said of the zones, before the other tables and in one of its own.
fn zones_table() -> impl Strategy<Value = (&'static str, String)> {
    let well = |unspread: &str| {
        format!(
            "[[keep_out]]\nfile = \"keep-out.geojson\"\ndistance = \"10 m\"\nwhy = \"a well\"\n[zones]\nunspread = \"{unspread}\"\n"
        )
    };
    prop_oneof![
        2 => Just(("", String::new())),
        1 => Just(("", "[zones]\nclean_up = false\n".to_owned())),
        1 => Just(("", well("leave out"))),
        1 => Just(("", well("rate 0"))),
        1 => (0..360_u32).prop_map(|heading| {
            ("swath = \"60 ft\"\n", format!("[zones]\nheading = {heading}\n"))
        }),
    ]
}

fn case() -> impl Strategy<Value = Case> {
    let outline = prop::collection::vec(60.0..220.0_f64, 3..40);
    let pond = prop::option::of(prop::collection::vec(4.0..28.0_f64, 3..12));
    let second = prop::option::of(prop::collection::vec(20.0..60.0_f64, 3..9));
    let sample = (-75.0..75.0_f64, -75.0..75.0_f64, 4.0..24.0_f64);
    let samples = prop::collection::vec(sample, 3..50);
    let settings =
        (-54.0..64.0_f64, 0..3_usize, 3..5_u8, any::<bool>(), any::<bool>(), zones_table());
    (outline, pond, second, samples, settings).prop_map(
        |(outline, pond, second, samples, (latitude, form, version, metric, lost, zones))| {
            let centre = (-85.2, latitude);
            // A pond of under 28 m fits in a ring of three directions at 60 m.
            let mut parts = vec![ring(centre, &outline, false)];
            parts.extend(pond.map(|reach| ring(centre, &reach, true)));
            let away = 300.0 / (111_320.0 * latitude.to_radians().cos());
            let mut polygons = vec![format!("[{}]", parts.join(","))];
            let second = second.map(|reach| ring((centre.0 + away, latitude), &reach, false));
            polygons.extend(second.map(|ring| format!("[{ring}]")));
            let boundary = format!(
                "{{\"type\":\"MultiPolygon\",\"coordinates\":[{}]}}",
                polygons.join(",")
            );
            // Within a ring of three directions or more at 60 m, 45 m to the east is field.
            let row = |(i, (east, north, cec)): (usize, &(f64, f64, f64))| {
                let x = centre.0 + east / (111_320.0 * latitude.to_radians().cos());
                format!("{i},{x:.7},{:.7},{cec:.1}\n", latitude + north / 111_320.0)
            };
            let all = std::iter::once(&(45.0, 0.0, 9.0)).chain(&samples);
            let rows: String = all.enumerate().map(row).collect();
            let samples = format!("id,longitude,latitude,cec\n{rows}");
            let metre = 1.0 / (111_320.0 * latitude.to_radians().cos());
            let well = format!(
                "{{\"type\":\"Point\",\"coordinates\":[{:.8},{latitude:.8}]}}",
                centre.0 + 45.0 * metre
            );
            let units = if metric { "metric" } else { "us" };
            let lost = if lost { "position_lost = \"1 t/ha\"\n" } else { "" };
            let job = format!(
                "units = \"{units}\"\n{}[surface]\ngrid = \"20 ft\"\n{}[taskdata]\nversion = {version}\nform = \"{}\"\n{lost}",
                zones.0, zones.1, FORMS[form]
            );
            Case { boundary, samples, well, job }
        },
    )
}

/// On 100 random fields, in every form: what `inspect` reads back has the tons that were stated,
/// those are within half a per cent of the plan, and nothing departs from a format.
#[test]
fn a_hundred_fields_there_and_back() {
    let config = Config { failure_persistence: None, ..Config::with_cases(100) };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, rng);
    let counts = std::cell::RefCell::new([0_u32; 3]);
    let worst = std::cell::Cell::new(0.0_f64);
    let outcome = runner.run(&case(), |case| {
        let plan = plan_around(&case.job, &case.boundary, &case.samples, &case.well);
        let output = output(&plan, &case.job).unwrap();
        let stated = output.task_data.as_ref().unwrap();
        let form = FORMS.iter().position(|form| *form == stated.form.to_string()).unwrap();
        counts.borrow_mut()[form] += 1;
        let reason = stated.grid.as_ref().and_then(|grid| grid.reason.as_ref());
        prop_assert!(stated.difference_percent().abs() < 0.5 || reason.is_some());
        worst.set(worst.get().max(stated.difference_percent().abs()));
        // A millimeter of rounding along the field's edge, at the highest rate.
        let near = |found: Mass, expected: Mass| {
            (found - expected).si().abs() < 1.0 + 1e-5 * expected.si()
        };
        let read = folder("TASKDATA", &task_files(&output)).unwrap();
        prop_assert_eq!(&read.departures, &Vec::<String>::new());
        prop_assert!(near(read.mass(), stated.mass), "{:?} {:?}", read.mass(), stated.mass);
        let zipped = archive("TASKDATA", bytes(&output, "taskdata.zip")).unwrap();
        prop_assert_eq!(read.json(), zipped.json());
        let setting = RateSetting::default();
        for source in [shapefile(&output), source("zones.geojson", bytes(&output, "zones.geojson"))]
        {
            let read = zones(&source, &setting).unwrap();
            prop_assert_eq!(&read.departures, &Vec::<String>::new());
            // Rates have four decimals: half a ten-thousandth of the lowest of 0.5 ton/ac.
            let off = (read.mass() - plan.total.mass).si().abs();
            prop_assert!(off < 1.0 + 1.1e-4 * plan.total.mass.si(), "{}", off);
        }
        Ok(())
    });
    if let Err(error) = outcome {
        panic!("{error}");
    }
    assert!(counts.borrow().iter().all(|count| *count > 20), "{counts:?}");
    println!("task data of 100 fields: at most {:.3} % off the plan", worst.get());
}

/// Few vertices: the zones still tile, and the polygons have no more than was set.
#[test]
fn simplified_zones_still_tile() {
    let mut runner = TestRunner::new_with_rng(
        Config { failure_persistence: None, ..Config::with_cases(20) },
        TestRng::deterministic_rng(RngAlgorithm::ChaCha),
    );
    let simplified = std::cell::Cell::new(0);
    let outcome = runner.run(&case(), |case| {
        let plan = plan_around(&case.job, &case.boundary, &case.samples, &case.well);
        let job = "[taskdata]\nmax_vertices = 40\n";
        // A zone with many neighbors may need more; that is said.
        let Ok(output) = output(&plan, job) else { return Ok(()) };
        let positions = |ring: &geo::LineString<f64>| ring.0.len();
        let most = plan.zones.iter().map(|zone| positions(zone.polygon.exterior())).max();
        simplified.set(simplified.get() + u32::from(most > Some(40)));
        let read = folder("TASKDATA", &task_files(&output)).unwrap();
        // The rim may move by more than a sliver; between zones there is neither gap nor overlap.
        let between = read.departures.iter().find(|d| !d.contains("of the field"));
        prop_assert_eq!(between, None);
        let text = String::from_utf8(bytes(&output, "TASKDATA/TASKDATA.XML").to_vec()).unwrap();
        let zones = text.split("<TZN ").skip(1);
        prop_assert!(zones.map(|zone| zone.matches("<PNT ").count()).all(|count| count <= 40));
        Ok(())
    });
    if let Err(error) = outcome {
        panic!("{error}");
    }
    assert!(simplified.get() > 0, "no zone was large enough to be simplified");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]

    /// Whatever the labels and however large the numbers: what is in the table is what was meant,
    /// or it is refused; no field of it overflows.
    #[test]
    fn tables_never_overflow(
        label in "[ -~äöüßéł漢字😀]{1,300}",
        rate in prop_oneof![0.0..10.0_f64, 10.0..1e3_f64],
        reach in prop_oneof![100.0..400.0_f64, 5_000.0..20_000.0_f64],
    ) {
        prop_assume!(!label.trim().is_empty());
        let quoted = serde_json::to_string(&label).unwrap();
        let job = format!(
            "plausible_rate = \"1000 ton/ac\"\n[surface]\ngrid = \"330 ft\"\n[[tier]]\nunder = 10\nlabel = {quoted}\nrate = \"{rate} ton/ac\"\n[[tier]]\nfrom = 10\nrate = \"1 ton/ac\"\n"
        );
        let boundary = format!(
            "{{\"type\":\"Polygon\",\"coordinates\":[{}]}}",
            ring((-85.2, 40.4), &[reach; 8], false)
        );
        let samples = "id,longitude,latitude,cec\n1,-85.2,40.4,8\n2,-85.2003,40.4,9\n3,-85.2,40.4003,12\n";
        let plan = plan(&job, &boundary, samples);
        let Ok(output) = output(&plan, "") else {
            prop_assert!(rate > 10.0, "{} ton/ac fits", rate);
            return Ok(());
        };
        let source = shapefile(&output);
        prop_assert_eq!(&source.sidecars["cpg"], b"UTF-8");
        let read = zone_file(&source, None).unwrap();
        let column = |name: &str| read.columns.iter().position(|c| c == name).unwrap();
        for (shape, zone) in read.shapes.iter().zip(&plan.zones) {
            let tier = plan.settings.tiers.get(zone.tier).unwrap();
            let number = |name: &str| match shape.cells[column(name)] {
                Cell::Number(number) => number,
                ref other => panic!("{name}: {other:?}"),
            };
            prop_assert!((number("RATE") - tier.rate.as_tons_per_acre()).abs() <= 0.5001e-4);
            prop_assert!((number("ACRES") - zone.amount.printed_area).abs() < 1e-6);
            prop_assert!((number("TONS") - zone.amount.printed_mass).abs() < 1e-6);
            let Cell::Text(text) = &shape.cells[column("LABEL")] else { panic!("no label") };
            let whole = tier.label.trim();
            let cut = whole.starts_with(text.as_str()) && text.len() > 240;
            prop_assert!(text == whole || cut, "{:?} {:?}", text, whole);
        }
    }
}
