//! What lands, as the program is run.

use std::fs;
use std::path::Path;

use crate::folder::{Folder, demo};

/// A folder with a copy of the demo farm.
fn pond() -> Folder {
    fn copy(from: &Path, to: &Path) {
        fs::create_dir_all(to).unwrap();
        for entry in fs::read_dir(from).unwrap() {
            let entry = entry.unwrap();
            let to = to.join(entry.file_name());
            if entry.file_type().unwrap().is_dir() {
                copy(&entry.path(), &to);
            } else {
                fs::copy(entry.path(), to).unwrap();
            }
        }
    }
    let folder = Folder::empty();
    copy(&demo(""), folder.path());
    folder
}

#[test]
fn what_lands_is_said_and_written() {
    let folder = pond();
    let said = folder.run(&["land", "pond-quarter.toml", "--out", "landed"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    for part in [
        "Pattern of the pan test",
        "Set the controller's look-ahead to ",
        "Look: on the keep-out drainage ditch (35 ft) lands up to ",
        "Over the field's edge: ",
    ] {
        assert!(said.out.contains(part), "{part} is in\n{}", said.out);
    }
    assert_eq!(folder.files_named("landed"), ["landed.svg", "landed.tif"]);
    // A look-ahead as long as the delay cures what the delay costs.
    let cured = folder.run(&["land", "pond-quarter.toml", "--look-ahead", "2 s"]);
    assert!(!cured.out.contains("Set the controller's look-ahead"), "{}", cured.out);
}

/// Without a pan test a triangle is assumed and said; without a spreader there is nothing to reckon.
#[test]
fn what_it_needs() {
    let folder = pond();
    let job = folder.read("pond-quarter.toml");
    let without: Vec<&str> = job.lines().filter(|line| !line.starts_with("pans")).collect();
    folder.put("no-pans.toml", without.join("\n"));
    let said = folder.run(&["land", "no-pans.toml", "--rounds", "0"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(
        said.out.contains("No pan test: an even triangle 80 ft wide is assumed"),
        "{}",
        said.out
    );
    let folder = Folder::with_job();
    let said = folder.run(&["land", "job.toml"]);
    assert_eq!(said.code, 2);
    assert_eq!(
        said.err,
        "error: job.toml: found no spreader, expected one: what lands depends on swath, belt and \
         delay; add spreader = \"machine.toml\"\n"
    );
}

#[test]
fn what_is_typed_is_checked() {
    let folder = pond();
    let said = |typed: &[&str]| {
        let said = folder.run(&[&["land", "pond-quarter.toml"], typed].concat());
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{typed:?}");
        said.err
    };
    assert_eq!(said(&["--rounds", "51"]), "error: --rounds: found 51, expected 0 to 50\n");
    assert_eq!(
        said(&["--speed", "0 mph"]),
        "error: --speed: found 0 mph, expected more than zero, such as \"8 mph\"\n"
    );
    assert_eq!(
        said(&["--heading", "north"]),
        "error: --heading: found \"north\", expected degrees clockwise from north such as 90, or \
         \"longest\" or \"best\"\n"
    );
    let many = said(&["--cell", "0.001 ft"]);
    assert!(
        many.starts_with("error: what lands: found ") && many.contains("--cell \"4 ft\""),
        "{many}"
    );
}

/// The job's sheet and totals have it, and `[landing]` says how the field is driven.
#[test]
fn a_plan_tells_it() {
    let folder = pond();
    let job = folder.read("pond-quarter.toml");
    folder.put(
        "pond-quarter.toml",
        format!("{job}\n[landing]\nground_speed = \"6 mph\"\nheadland_rounds = 2\n"),
    );
    let said = folder.run(&["plan", "pond-quarter.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("What lands by the pan test: "), "{}", said.out);
    let totals: serde_json::Value =
        serde_json::from_str(&folder.read("plans/pond-quarter/totals.json")).unwrap();
    let landing = &totals["landing"];
    assert_eq!(landing["ground_speed"], 6.0);
    assert_eq!(landing["headland_rounds"], 2);
    let planned: f64 = landing["zones"]
        .as_array()
        .unwrap()
        .iter()
        .map(|zone| zone["tons_planned"].as_f64().unwrap())
        .sum();
    let whole = totals["total"]["tons"].as_f64().unwrap();
    assert!((planned / whole - 1.0).abs() < 0.002, "{planned} {whole}");
    let sheet = folder.read("plans/pond-quarter/sheet.html");
    assert!(sheet.contains("<h2 id=\"landed\">What lands</h2>"));
    folder.put("pond-quarter.toml", format!("{job}\n[landing]\nheadland_rounds = 99\n"));
    let said = folder.run(&["plan", "pond-quarter.toml"]);
    assert_eq!(said.code, 2);
    assert!(
        said.err.contains("[landing] headland_rounds") && said.err.contains("0 to 50"),
        "{}",
        said.err
    );
}

/// The controller may read the task data's grid in place of the zones.
#[test]
fn a_grid_is_read_in_place_of_the_zones() {
    let folder = pond();
    let said = folder.run(&["land", "pond-quarter.toml", "--grid"]);
    assert_eq!(said.code, 2);
    assert!(
        said.err.contains("found no grid in pond-quarter.toml, expected [taskdata]"),
        "{}",
        said.err
    );
    let job = folder.read("pond-quarter.toml");
    let within = |cell: &str| -> f64 {
        let grid = format!("{job}\n[taskdata]\nform = \"rate grid\"\ncell = \"{cell}\"\n");
        folder.put("grid.toml", grid);
        let said = folder.run(&["land", "grid.toml", "--grid", "--json"]);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{cell}");
        let landed: serde_json::Value = serde_json::from_str(&said.out).unwrap();
        landed["within_10_percent"].as_f64().unwrap()
    };
    let zones = folder.run(&["land", "pond-quarter.toml", "--json"]).out;
    let zones: serde_json::Value = serde_json::from_str(&zones).unwrap();
    let by_zones = zones["within_10_percent"].as_f64().unwrap();
    // Cells far finer than a swath are the zones, but for the cells that a keep-out takes whole;
    // cells wider than a swath are not.
    let (fine, coarse) = (within("7 ft"), within("80 ft"));
    assert!((fine - by_zones).abs() < 2.0, "{fine} {by_zones}");
    assert!(coarse < fine - 2.0, "{coarse} {fine}");
}

/// A pan test that caught far more than was meant is the first thing to settle.
#[test]
fn a_pan_test_off_its_target_stops() {
    let folder = pond();
    let pans = folder.read("spreader/pans-after.csv");
    folder
        .put("spreader/pans-after.csv", pans.replace("# target: 1 ton/ac", "# target: 0.5 ton/ac"));
    let said = folder.run(&["plan", "pond-quarter.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.starts_with("STOP: "), "{}", said.out);
    assert!(said.out.contains("% off the target of 0.50 ton/ac"), "{}", said.out);
}
