//! Inputs that are no files, settings that no file can hold, and outputs that nobody reads.

#[cfg(unix)]
use std::fs::{self, File, OpenOptions};
#[cfg(unix)]
use std::os::unix::fs::symlink;
#[cfg(unix)]
use std::process::{Command, Stdio};

#[cfg(unix)]
use assert_cmd::cargo::cargo_bin;
#[cfg(unix)]
use rustix::fs::{CWD, FileType, Mode, mknodat};

#[cfg(unix)]
use crate::folder::demo;
use crate::folder::{Folder, JOB, SAMPLES};

const PLAN: [&str; 2] = ["plan", "job.toml"];

fn refused(folder: &Folder, arguments: &[&str]) -> String {
    let said = folder.run(arguments);
    assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.err);
    said.err
}

#[test]
#[cfg(unix)]
fn only_files_are_read_and_none_without_end() {
    let folder = Folder::with_job();
    let samples = folder.path().join("samples.csv");
    fs::rename(&samples, folder.path().join("real.csv")).unwrap();
    symlink("real.csv", &samples).unwrap();
    assert_eq!(folder.run(&PLAN).code, 0, "a link to a file is read");
    fs::remove_file(&samples).unwrap();
    let told = |what: &str| {
        format!("error: samples samples.csv: this is {what}, expected a file; check the path\n")
    };
    symlink("/dev/zero", &samples).unwrap();
    assert_eq!(refused(&folder, &PLAN), told("a pipe or a device"));
    fs::remove_file(&samples).unwrap();
    mknodat(CWD, &samples, FileType::Fifo, Mode::RWXU, 0).unwrap();
    assert_eq!(refused(&folder, &PLAN), told("a pipe or a device"));
    fs::remove_file(&samples).unwrap();
    fs::create_dir(&samples).unwrap();
    assert_eq!(refused(&folder, &PLAN), told("a folder"));
    fs::remove_dir(&samples).unwrap();
    File::create(&samples).unwrap().set_len((256 << 20) + 1).unwrap();
    assert_eq!(
        refused(&folder, &PLAN),
        "error: samples samples.csv: found more than 256 MB, expected at most that; cut the file down to the field\n"
    );
    assert_eq!(
        refused(&folder, &["plan", "/dev/zero"]),
        "error: job file /dev/zero: this is a pipe or a device, expected a file; check the path\n"
    );
}

/// 250 bytes and what stands beside it for a moment are a file system's 255.
#[test]
fn names_that_no_folder_can_have() {
    let folder = Folder::with_job();
    let name = "é".repeat(125);
    folder.put("job.toml", format!("name = \"{name}\"\n{JOB}"));
    assert_eq!(folder.run(&PLAN).code, 0);
    assert_eq!(folder.files_named("plans"), [".landplaster.lock", name.as_str()]);
    folder.put("job.toml", format!("name = \"{name}x\"\n{JOB}"));
    let said = refused(&folder, &PLAN);
    let told =
        "which has more than 250 bytes; expected a name that a folder can have on every system";
    assert!(said.starts_with("error: job.toml, name: found ") && said.contains(told), "{said}");
}

/// A setting that the task data cannot hold is the input's fault.
#[test]
fn what_task_data_cannot_hold_is_the_inputs_fault() {
    let folder = Folder::with_job();
    folder.put("job.toml", format!("{JOB}[taskdata]\nmax_vertices = 4\n"));
    let said = refused(&folder, &PLAN);
    assert!(said.contains("more than [taskdata] max_vertices = 4; set more"), "{said}");
    assert!(!folder.path().join("plans").exists());
}

/// A disc of one rate as a polygon of four positions: the largest triangle in it has 3 sqrt(3) / 4 pi,
/// 41 %, of it.
#[test]
fn vertices_that_are_missed_are_told() {
    let folder = Folder::with_job();
    let corner = |i: u32| {
        let angle = f64::from(i) * std::f64::consts::TAU / 40.0;
        format!("[{:.8},{:.8}]", -85.1988 + 0.0012 * angle.cos(), 40.4009 + 0.0009 * angle.sin())
    };
    let ring: Vec<String> = (0..=40).map(|i| corner(i % 40)).collect();
    let polygon = format!("{{\"type\": \"Polygon\", \"coordinates\": [[{}]]}}", ring.join(","));
    folder.put("field.geojson", polygon);
    let tier = "[[tier]]\nrate = \"1 ton/ac\"\n";
    folder.put("job.toml", format!("{JOB}{tier}[taskdata]\nmax_vertices = 4\n"));
    let said = folder.run(&PLAN);
    assert_eq!(said.code, 0, "{}", said.err);
    let told = "warning: task data: max_vertices moves ";
    let line = said.out.lines().find(|line| line.starts_with(told)).unwrap();
    assert!(line.ends_with("set more, or form = \"zone grid\" or \"rate grid\""), "{line}");
    let totals: serde_json::Value =
        serde_json::from_str(&folder.read("plans/job/totals.json")).unwrap();
    let moved = totals["task_data"]["acres_moved"].as_f64().unwrap();
    let acres = totals["total"]["acres"].as_f64().unwrap();
    assert!((0.58..0.8).contains(&(moved / acres)), "{moved} of {acres}");
    folder.put("job.toml", format!("{JOB}{tier}[taskdata]\nmax_vertices = 41\n"));
    let said = folder.run(&PLAN);
    assert!(!said.out.contains("max_vertices"), "{}", said.out);
}

/// What the program says when one of its outputs is full, or closed.
#[cfg(unix)]
fn into(arguments: &[&str], out: Stdio, err: Stdio) -> (i32, String) {
    let mut command = Command::new(cargo_bin("landplaster"));
    let output = command
        .args(arguments)
        .stdout(out)
        .stderr(err)
        .spawn()
        .unwrap()
        .wait_with_output()
        .unwrap();
    (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
}

/// Names that turn colors on, move the cursor, set the window's title or begin a formula.
#[test]
fn names_that_steer_a_terminal_or_a_spreadsheet() {
    let folder = Folder::with_job();
    let ditch = "{\"type\":\"LineString\",\"coordinates\":[[-85.2004,40.4003],[-85.1974,40.4016]]}";
    let samples = folder.read("samples.csv").replace("A1", "\u{1b}[2J\u{9b}31mA1");
    folder.put("ditch.geojson", ditch).put("samples.csv", samples);
    folder.put(
        "job.toml",
        format!(
            "{JOB}exclude = [\"no\\u001b]0;title\\u0007\"]\n[[tier]]\nunder = 10\nrate = \"1 ton/ac\"\nlabel = \"=1+1\\u001b[1m\"\n\
             [[tier]]\nfrom = 10\nrate = \"2 ton/ac\"\nlabel = \"@SUM(A1)\\u202e\"\n\
             [[keep_out]]\nfile = \"ditch.geojson\"\ndistance = \"10 ft\"\nwhy = \"-2+3\\u001b[1m\"\n"
        ),
    );
    let steers = |text: &str| {
        text.contains(|c: char| c.is_control() && c != '\n' && c != '\t' || c == '\u{202e}')
    };
    let said = folder.run(&PLAN);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("found \"no\u{fffd}]0;title\u{fffd}\""), "{}", said.err);
    assert!(!steers(&said.err));
    let job = folder.read("job.toml");
    folder.put(
        "job.toml",
        job.lines().filter(|line| !line.starts_with("exclude")).collect::<Vec<_>>().join("\n"),
    );
    let said = folder.run(&PLAN);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("=1+1\u{fffd}[1m") && !steers(&said.out), "{}", said.out);
    let json = folder.run(&["plan", "job.toml", "--json"]).out;
    assert!(!steers(&json));
    let totals: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(totals["tiers"][1]["label"], "@SUM(A1)\u{202e}");
    folder.put("farm.toml", "farm = \"F\"\njobs = [\"job.toml\"]\n");
    assert_eq!(folder.run(&["plan", "farm.toml"]).code, 0);
    for file in ["plans/job/totals.csv", "plans/F/farm.csv"] {
        let table = folder.read(file);
        let cells: Vec<String> = csv::ReaderBuilder::new()
            .flexible(true)
            .from_reader(table.as_bytes())
            .records()
            .flat_map(|row| row.unwrap().iter().map(str::to_owned).collect::<Vec<_>>())
            .collect();
        assert!(cells.iter().any(|cell| cell == "'@SUM(A1)\u{202e}"), "{file}: {table}");
        let alive =
            |cell: &&String| cell.starts_with(['=', '+', '-', '@']) && cell.parse::<f64>().is_err();
        assert_eq!(cells.iter().find(alive), None, "{file}");
    }
}

#[test]
#[cfg(unix)]
fn outputs_that_nobody_reads() {
    let demo = |name: &str| demo(name).display().to_string();
    let (machine, pans) = (demo("spreader/machine.toml"), demo("spreader/pans-before.csv"));
    let full = || Stdio::from(OpenOptions::new().write(true).open("/dev/full").unwrap());
    for arguments in [&["spreader", &machine, "--rates", "1 ton/ac"][..], &["pans", &pans]] {
        let (code, said) = into(arguments, full(), Stdio::piped());
        assert_eq!(code, 1, "{said}");
        assert!(said.starts_with("error: standard output: No space left"), "{said}");
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        assert_eq!(into(arguments, writer.into(), Stdio::piped()), (0, String::new()));
    }
    assert_eq!(into(&["plan", "none.toml"], Stdio::null(), full()).0, 2);
}

/// Numbers that no field has, in files that people and other programs edit: the program ends, and well.
#[test]
fn numbers_that_no_field_has() {
    let folder = Folder::with_job();
    let tiny = SAMPLES.lines().map(|line| match line.rsplit_once(',') {
        Some((place, cec)) if cec != "cec" => format!("{place},1e-100\n"),
        _ => format!("{line}\n"),
    });
    folder.put("tiny.csv", tiny.collect::<String>());
    folder.put("tiny.toml", JOB.replace("samples.csv", "tiny.csv"));
    let said = folder.run(&["plan", "tiny.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("STOP: all 6 samples have CEC 0.0; is this the right column?"));
    folder.put("dear.toml", format!("{JOB}[prices]\nproduct = 1e300\nproduct_per = \"ton\"\n"));
    assert!([0, 2].contains(&folder.run(&["plan", "dear.toml"]).code));
    folder.put("much.toml", format!("{JOB}[[tier]]\nrate = \"1e300 ton/ac\"\n"));
    let said = refused(&folder, &["plan", "much.toml"]);
    assert!(said.contains("expected at most 20.00 ton/ac"), "{said}");

    folder.put("tickets.csv", "date,field,tons\n2026-04-14,job,10\n");
    let reconcile = ["reconcile", "plans/job", "--tickets", "tickets.csv"];
    assert_eq!(folder.run(&PLAN).code, 0);
    assert_eq!(folder.run(&reconcile).code, 0);
    let (zones, totals) = ("plans/job/zones.geojson", "plans/job/totals.json");
    let (sound, whole) = (folder.read(zones), folder.read(totals));
    let mut edited: serde_json::Value = serde_json::from_str(&sound).unwrap();
    for (longitude, found) in [
        (1e15, "found the position 1000000000000000.0, 40."),
        (-21.0, "found more than 50 km from one side to the other, expected a zone of a field"),
        (95.0, "found more than 50 km from one side to the other"),
    ] {
        edited["features"][0]["geometry"]["coordinates"][0][1][0] = longitude.into();
        folder.put(zones, edited.to_string());
        let said = refused(&folder, &reconcile);
        assert!(said.contains(found), "{said}");
    }
    folder.put(zones, sound);
    for number in ["1e300", "-5.0", "null", "[]"] {
        let mut edited: serde_json::Value = serde_json::from_str(&whole).unwrap();
        for key in ["acres", "tons"] {
            edited["total"][key] = serde_json::from_str(number).unwrap();
        }
        folder.put(totals, edited.to_string());
        assert!([0, 2].contains(&folder.run(&reconcile).code), "{number}");
    }
}
