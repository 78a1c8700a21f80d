//! A farm as it is planned: all fields, what is kept, what fails.

use std::fs;
use std::process::{Command, Stdio};

use crate::folder::{FIELD, Folder, JOB, SAMPLES};

const FARM: &str = "farm = \"Home Farm\"\njobs = [\"a.toml\", \"b.toml\", \"north/c.toml\"]\n";

/// Three jobs on the same field, one of them in a folder of its own.
pub fn farm() -> Folder {
    let folder = Folder::empty();
    fs::create_dir(folder.path().join("north")).unwrap();
    for place in ["", "north/"] {
        folder.put(&format!("{place}field.geojson"), FIELD);
        folder.put(&format!("{place}samples.csv"), SAMPLES);
    }
    folder.put("a.toml", JOB).put("north/c.toml", JOB);
    folder.put("b.toml", format!("{JOB}[[tier]]\nlabel = \"all\"\nrate = \"1 ton/ac\"\n"));
    folder.put("farm.toml", FARM);
    folder
}

fn first_line(text: &str) -> &str {
    text.lines().next().unwrap_or("")
}

#[test]
fn all_fields_are_planned_and_then_kept() {
    let folder = farm();
    let said = folder.run(&["plan", "farm.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert_eq!(
        first_line(&said.out),
        "Home Farm: 3 fields, 3 planned, 0 unchanged since the last run, 0 failed"
    );
    let rows: Vec<&str> = said.out.lines().skip(4).take(3).map(|l| &l[2..3]).collect();
    assert_eq!(rows, ["a", "b", "c"], "{}", said.out);
    assert_eq!(folder.files_named("plans"), [".landplaster.lock", "Home Farm", "a", "b", "c"]);
    assert_eq!(folder.files_named("plans/Home Farm"), ["farm.csv", "farm.html", "farm.json"]);
    let before: Vec<_> =
        ["Home Farm", "a", "b", "c"].map(|name| folder.files(&format!("plans/{name}"))).into();
    let said = folder.run(&["plan", "farm.toml"]);
    assert_eq!(
        first_line(&said.out),
        "Home Farm: 3 fields, 0 planned, 3 unchanged since the last run, 0 failed"
    );
    let after: Vec<_> =
        ["Home Farm", "a", "b", "c"].map(|name| folder.files(&format!("plans/{name}"))).into();
    assert!(before == after);
    assert!(first_line(&folder.run(&["plan", "farm.toml", "--fresh"]).out).contains("3 planned"));
}

/// A farm's fields are the same as those of its jobs, but for the record of what they are from.
#[test]
fn a_field_of_a_farm_is_the_field_of_its_job() {
    let folder = farm();
    // The sheet says whose field it is: the farm's name stands in for that.
    let job = folder.read("north/c.toml");
    folder.put("north/c.toml", format!("farm = \"Home Farm\"\n{job}"));
    assert_eq!(folder.run(&["plan", "farm.toml"]).code, 0);
    assert_eq!(folder.run(&["plan", "north/c.toml", "--out", "alone"]).code, 0);
    let mut of_farm = folder.files("plans/c");
    of_farm.retain(|(name, _)| name != "inputs.json");
    assert!(of_farm == folder.files("alone/c"));
}

#[test]
fn what_is_shared_reaches_the_jobs() {
    let folder = farm();
    let tier = "[[tier]]\nlabel = \"everywhere\"\nrate = \"1.5 ton/ac\"\n";
    folder.put("farm.toml", format!("{FARM}{tier}"));
    assert_eq!(folder.run(&["plan", "farm.toml"]).code, 0);
    let rates = ["a", "b", "c"].map(|job| {
        let totals = folder.read(&format!("plans/{job}/totals.json"));
        let totals: serde_json::Value = serde_json::from_str(&totals).unwrap();
        totals["tiers"][0]["rate"].as_f64().unwrap()
    });
    assert_eq!(rates, [1.5, 1.0, 1.5]);
}

/// Each kind of change has the one field planned again that it belongs to.
#[test]
fn what_has_changed_is_planned_again() {
    let folder = farm();
    assert_eq!(folder.run(&["plan", "farm.toml"]).code, 0);
    let again = || {
        let said = folder.run(&["plan", "farm.toml"]);
        assert_eq!(said.code, 0, "{}", said.err);
        let kept = |line: &&str| line.contains("  unchanged");
        said.out.lines().filter(kept).map(|line| line[2..3].to_owned()).collect::<Vec<_>>()
    };
    folder.put("north/samples.csv", SAMPLES.replace(",19", ",18"));
    assert_eq!(again(), ["a", "b"], "an input");
    folder.put("a.toml", format!("swath = \"50 ft\"\n{JOB}"));
    assert_eq!(again(), ["b", "c"], "a setting");
    folder.put("a.toml", format!("# a remark\nswath = '50 ft'\n{JOB}"));
    assert_eq!(again(), ["a", "b", "c"], "a remark is no setting");
    folder.put("plans/b/zones.geojson", "{}");
    assert_eq!(again(), ["a", "c"], "an output that somebody changed");
    assert!(folder.read("plans/b/zones.geojson").len() > 2);
    fs::remove_file(folder.path().join("plans/b/zones.dbf")).unwrap();
    assert_eq!(again(), ["a", "c"], "an output that somebody took away");
    folder.put("plans/b/inputs.json", "{\"program\": 3}");
    assert_eq!(again(), ["a", "c"], "a record that says nothing");
    assert_eq!(folder.run(&["plan", "b.toml"]).code, 0);
    assert_eq!(again(), ["a", "c"], "a folder that the job alone wrote");
    folder.put("farm.toml", format!("{FARM}max_rate = \"1 ton/ac\"\n"));
    assert_eq!(again(), [""; 0], "a setting for all");
    assert_eq!(again(), ["a", "b", "c"]);
}

#[test]
fn a_failing_field_does_not_stop_the_others() {
    let folder = farm();
    assert_eq!(folder.run(&["plan", "farm.toml"]).code, 0);
    let before = folder.files("plans/b");
    folder.put("samples.csv", SAMPLES.replace(",19", ",-19"));
    folder.put("b.toml", format!("{JOB}swth = 3\n"));
    let said = folder.run(&["plan", "farm.toml"]);
    assert_eq!(said.code, 2);
    assert_eq!(
        first_line(&said.out),
        "Home Farm: 3 fields, 0 planned, 1 unchanged since the last run, 2 failed"
    );
    let lines: Vec<&str> = said.err.lines().collect();
    assert_eq!(
        lines[0],
        "error: 2 of 3 fields could not be planned; what was planned of them before is left as it was"
    );
    assert!(lines[1].starts_with("  a.toml: samples.csv, row 7"), "{}", said.err);
    assert!(lines[2].starts_with("  b.toml: b.toml, line 3: found unknown key \"swth\""));
    assert!(before == folder.files("plans/b"));
    let totals: serde_json::Value =
        serde_json::from_str(&folder.read("plans/Home Farm/farm.json")).unwrap();
    assert_eq!(totals["failures"].as_array().unwrap().len(), 2);
    assert_eq!(totals["fields"].as_array().unwrap().len(), 1);
    assert_eq!(totals["total"]["tons"], totals["fields"][0]["tons"]);
}

#[test]
fn two_jobs_of_one_name() {
    let folder = farm();
    folder.put("farm.toml", "farm = \"F\"\njobs = [\"a.toml\", \"north/c.toml\"]\n");
    folder.put("north/c.toml", format!("name = \"A\"\n{JOB}"));
    let said = folder.run(&["plan", "farm.toml"]);
    assert_eq!(
        (said.code, said.err.as_str()),
        (
            2,
            "error: a.toml and north/c.toml: found the name \"a\" twice, expected each name once, as each has a folder of that name; set another name in one of them\n"
        )
    );
    assert!(!folder.path().join("plans").exists());
}

#[test]
fn json_and_bytes_do_not_depend_on_threads() {
    let folder = farm();
    let mut seen = Vec::new();
    for threads in ["1", "2", "7"] {
        let arguments = ["plan", "farm.toml", "--json", "--fresh"];
        let said = folder.run_with(&arguments, &[("RAYON_NUM_THREADS", threads)]);
        assert_eq!(said.out, folder.read("plans/Home Farm/farm.json"));
        seen.push(["a", "b", "c"].map(|name| folder.files(&format!("plans/{name}"))));
        seen.push([vec![("farm".into(), said.out.into_bytes())], vec![], vec![]]);
    }
    assert!(seen[0] == seen[2] && seen[1] == seen[3] && seen[0] == seen[4] && seen[1] == seen[5]);
}

/// Killed at one moment after the other, a run leaves whole folders, each from before or after.
#[test]
fn killed_runs_leave_whole_folders() {
    let clean = farm();
    assert_eq!(clean.run(&["plan", "farm.toml"]).code, 0);
    let folder = farm();
    for wait in (0..200).step_by(20) {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin("landplaster"))
            .current_dir(folder.path())
            .args(["plan", "farm.toml", "--fresh"])
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait));
        child.kill().unwrap();
        child.wait().unwrap();
        for name in ["a", "b", "c"] {
            let place = format!("plans/{name}");
            if folder.path().join(&place).exists() {
                assert!(folder.files(&place) == clean.files(&place), "{name} after {wait} ms");
            }
        }
    }
    assert_eq!(folder.run(&["plan", "farm.toml"]).code, 0);
    assert_eq!(folder.files_named("plans"), clean.files_named("plans"));
    for name in ["a", "b", "c", "Home Farm"] {
        assert!(folder.files(&format!("plans/{name}")) == clean.files(&format!("plans/{name}")));
    }
}
