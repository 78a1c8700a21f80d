//! Reconciling a season: what is printed, what goes into season.csv, and what is refused.

use std::fs;
use std::process::{Command, Stdio};

use crate::folder::{Folder, JOB};

const TICKETS: &str = "date,field,tons\n2026-04-14,job,6.5\n2026-04-15,Job,5.25\n";

/// The smallest job, planned, with tickets.
fn planned() -> Folder {
    let folder = Folder::with_job();
    folder.put("job.toml", JOB).put("tickets.csv", TICKETS);
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    folder
}

fn reconcile<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&["reconcile", "plans/job", "--tickets", "tickets.csv"], more].concat()
}

fn figures(folder: &Folder, more: &[&str]) -> serde_json::Value {
    let said = folder.run(&[reconcile(more), vec!["--json"]].concat());
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    serde_json::from_str(&said.out).unwrap()
}

fn refused(folder: &Folder, more: &[&str]) -> String {
    let said = folder.run(&reconcile(more));
    assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.err);
    said.err
}

#[test]
fn tickets_less_what_was_left() {
    let folder = planned();
    let said = figures(&folder, &["--left", "500 lb"]);
    let field = &said["fields"][0];
    assert_eq!(field["delivered"], 11.75);
    assert_eq!((field["left"].as_f64(), field["spread"].as_f64()), (Some(0.25), Some(11.5)));
    assert!(field["applied"].is_null());
    let said = folder.run(&reconcile(&[]));
    assert!(said.out.contains("2 loads from 2026-04-14 to 2026-04-15"), "{}", said.out);
    assert!(said.out.contains("only the field's total is known"), "{}", said.out);
}

/// The plan's own zones as the record: every zone at its target, whatever the format.
#[test]
fn the_plan_itself_is_all_within_ten_percent() {
    let folder = planned();
    for file in ["zones.geojson", "zones.shp"] {
        let path = format!("plans/job/{file}");
        let column = if file == "zones.shp" { "RATE" } else { "rate" };
        let record = ["--applied", &path, "--rate", column, "--unit", "ton/ac"];
        let said = figures(&folder, &record);
        let field = &said["fields"][0];
        assert_eq!(field["within_10_percent_share"], 100.0, "{file}: {field}");
        let off = field["applied"].as_f64().unwrap() - field["planned"].as_f64().unwrap();
        assert!(off.abs() <= 0.011, "{file}: {field}");
        assert_eq!(said["rows_off_the_zones"], 0);
        for zone in field["zones"].as_array().unwrap() {
            let recorded = zone["recorded"].as_f64().unwrap() - zone["area"].as_f64().unwrap();
            assert!(recorded.abs() <= 0.011, "{file}: {zone}");
        }
    }
    let record = ["--applied", "plans/job/zones.geojson", "--mass", "tons", "--unit", "ton"];
    assert_eq!(figures(&folder, &record)["fields"][0]["within_10_percent_share"], 100.0);
}

/// Two points in the lightest zone, by hand: each stands for half of its acres, or of those that are
/// in reach, one at the target, one 20 % over; and a point elsewhere.
#[test]
fn points_share_their_zone() {
    let folder = planned();
    let head = "longitude,latitude,\"rate (ton/ac)\",feet\n";
    let points = "-85.19965,40.40035,0.5,10\n-85.19955,40.40035,0.6,30\n-80,40,1,10\n";
    folder.put("log.csv", format!("{head}{points}"));
    let record = ["--applied", "log.csv", "--rate", "rate (ton/ac)"];
    let said = figures(&folder, &record);
    assert_eq!(said["rows_off_the_zones"], 1);
    let zone = &said["fields"][0]["zones"][0];
    let acres = zone["area"].as_f64().unwrap();
    assert!((zone["applied"].as_f64().unwrap() - 0.55 * acres).abs() <= 0.005, "{zone}");
    // Two circles of 20 m, 8.5 m apart: 1595 m2 or 0.394 ac; the lattice of 5 m is some 5 % off on so little.
    let recorded = zone["recorded"].as_f64().unwrap();
    assert!((recorded - 0.394).abs() <= 0.02, "{zone}");
    assert!((zone["within_10_percent"].as_f64().unwrap() - 0.5 * recorded).abs() <= 0.01);
    let by_distance = [&record[..], &["--distance", "feet"]].concat();
    let zone = &figures(&folder, &by_distance)["fields"][0]["zones"][0];
    assert!((zone["applied"].as_f64().unwrap() - 0.575 * acres).abs() <= 0.005, "{zone}");
    assert!((zone["within_10_percent"].as_f64().unwrap() - 0.25 * recorded).abs() <= 0.01);
    let said = folder.run(&reconcile(&record));
    let warning = "warning: 1 of the record's 3 rows lies on no zone of these fields\n";
    assert!(said.out.contains(warning), "{}", said.out);
}

#[test]
fn a_season_is_added_to_once() {
    let folder = planned();
    let season = ["--season", "season.csv", "--left", "0.25 tons"];
    let said = folder.run(&reconcile(&season));
    assert!(said.out.ends_with("season.csv: 1 row added, 0 were in it already\n"), "{}", said.out);
    let once = folder.read("season.csv");
    assert_eq!(
        once.lines().next().unwrap(),
        "field,first_ticket,last_ticket,loads,area_ac,planned_ton,delivered_ton,left_ton,spread_ton,applied_ton,within_10_percent_of_target_percent,spread_to_applied,constant,suggested_constant"
    );
    assert!(once.lines().nth(1).unwrap().starts_with("job,2026-04-14,2026-04-15,2,"), "{once}");
    let said = folder.run(&reconcile(&season));
    assert!(said.out.ends_with("season.csv: 0 rows added, 1 were in it already\n"), "{}", said.out);
    assert_eq!(folder.read("season.csv"), once);
    folder.put("tickets.csv", format!("{TICKETS}2026-04-16,job,1\n"));
    assert_eq!(folder.run(&reconcile(&season)).code, 0);
    let twice = folder.read("season.csv");
    assert!(twice.starts_with(&once) && twice.lines().count() == 3, "{twice}");
}

#[test]
fn a_season_that_is_not_whole_is_refused() {
    let folder = planned();
    let season = ["--season", "season.csv"];
    assert_eq!(folder.run(&reconcile(&season)).code, 0);
    let whole = folder.read("season.csv");
    let with = |text: &str| {
        folder.put("season.csv", text);
        let said = refused(&folder, &season);
        assert_eq!(folder.read("season.csv"), text, "it is left as it is");
        said
    };
    assert_eq!(
        with(&format!("{whole}other,2026-")),
        "error: season.csv, line 3: found 2 cells, expected 14, as the header has; another program left half a row: mend it or take it out\n"
    );
    assert_eq!(
        with("a,b\n"),
        "error: season.csv, line 1: found \"a,b\", expected the header of a season.csv; give another file\n"
    );
}

/// Killed at one moment after the other, a run leaves the season as it was or with its row whole.
#[test]
fn a_killed_run_leaves_a_whole_season() {
    let folder = planned();
    let season = ["--season", "season.csv"];
    for load in 0..20_u64 {
        folder.put("tickets.csv", format!("{TICKETS}2026-04-16,job,{}\n", load + 1));
        let before = folder.path().join("season.csv");
        let before = fs::read_to_string(before).unwrap_or_default();
        let mut child = Command::new(assert_cmd::cargo::cargo_bin("landplaster"))
            .current_dir(folder.path())
            .args(reconcile(&season))
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_micros(1500 * load));
        child.kill().unwrap();
        child.wait().unwrap();
        let after = fs::read_to_string(folder.path().join("season.csv")).unwrap_or_default();
        let rows = after.lines().count() - before.lines().count();
        assert!(after.starts_with(&before) && rows <= 2, "{before}\n{after}");
        assert!(after.is_empty() || after.ends_with('\n'), "{after}");
    }
    assert_eq!(folder.run(&reconcile(&season)).code, 0);
}

#[test]
fn faults_are_named() {
    let folder = planned();
    folder.put("tickets.csv", TICKETS.replace("Job", "jb"));
    assert_eq!(
        refused(&folder, &[]),
        "error: tickets.csv, row 3: found the field \"jb\", did you mean \"job\"?\n"
    );
    folder.put("tickets.csv", TICKETS.replace("Job", "the other one"));
    let said = folder.run(&reconcile(&[]));
    let warning = "warning: tickets of \"the other one\" ignored: not one of these fields\n";
    assert!(said.out.contains(warning), "{}", said.out);
    assert_eq!(
        refused(&folder, &["--left", "yard=1 ton"]),
        "error: --left: found the field \"yard\", expected one of job\n"
    );
    assert_eq!(
        refused(&folder, &["--left=-1 ton"]),
        "error: --left: found \"-1 ton\", expected 0 or more\n"
    );
    fs::remove_file(folder.path().join("plans/job/totals.json")).unwrap();
    assert_eq!(
        refused(&folder, &[]),
        "error: totals plans/job/totals.json: there is no such file; check the path\n"
    );
}
