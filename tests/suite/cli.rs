//! The program as it is run: what it prints, what it writes, and what it says of bad input.

use std::fs;

use crate::folder::{Folder, JOB, SAMPLES, demo};

const NAMES: [&str; 11] = [
    "sheet.html",
    "totals.csv",
    "totals.json",
    "zones.cpg",
    "zones.dbf",
    "zones.geojson",
    "zones.kml",
    "zones.prj",
    "zones.shp",
    "zones.shx",
    "zones.svg",
];

/// Runs the smallest job with one file changed; gives the message, which must be the input's fault
/// and must leave nothing written.
fn fault(name: &str, content: impl AsRef<[u8]>) -> String {
    let folder = Folder::with_job();
    folder.put(name, content);
    refused(&folder, &["plan", "job.toml"])
}

fn refused(folder: &Folder, arguments: &[&str]) -> String {
    let said = folder.run(arguments);
    assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.err);
    assert!(!folder.path().join("plans").exists(), "nothing is written");
    said.err
}

fn ring(corners: &str) -> String {
    format!("{{\"type\": \"Polygon\", \"coordinates\": [[{corners}]]}}")
}

#[test]
fn the_smallest_job() {
    let folder = Folder::with_job();
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.starts_with("job: "), "{}", said.out);
    for part in ["CEC under 10", "whole field", "Before you spread:", "Files in plans/job: "] {
        assert!(said.out.contains(part), "{part} is in\n{}", said.out);
    }
    assert_eq!(folder.files_named("plans/job"), NAMES);
}

#[test]
fn no_job_file_is_needed() {
    let folder = Folder::with_job();
    let arguments =
        ["plan", "--boundary", "field.geojson", "--samples", "samples.csv", "--out", "here"];
    assert_eq!(folder.run(&arguments).code, 0);
    assert!(folder.path().join("here/field/zones.shp").exists());
}

#[test]
fn one_cec_for_all_samples() {
    let folder = Folder::with_job();
    folder.put(
        "samples.csv",
        "id,longitude,latitude,cec\nA1,-85.1996,40.4004,30\nA2,-85.1988,40.4004,30\nA3,-85.1980,40.4014,30\n",
    );
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    let warning = "all 3 samples have CEC 30.0; is this the right column?";
    assert!(folder.read("plans/job/totals.json").contains(warning));
}

#[test]
fn json_is_the_content_of_totals_json() {
    let folder = Folder::with_job();
    let said = folder.run(&["plan", "job.toml", "--json"]);
    assert_eq!(said.out, folder.read("plans/job/totals.json"));
}

#[test]
fn metric_jobs_print_metric() {
    let folder = Folder::with_job();
    folder.put(
        "job.toml",
        format!(
            "{JOB}[[tier]]\nunder = 10\nrate = \"1 t/ha\"\n[[tier]]\nfrom = 10\nrate = \"2 t/ha\"\n"
        ),
    );
    let said = folder.run(&["plan", "job.toml"]);
    assert!(said.out.contains("t/ha") && !said.out.contains("ton/ac"), "{}", said.out);
    assert!(folder.read("plans/job/totals.csv").contains("hectares,tonnes"));
}

/// Same input, same bytes: again, on one thread or two, and with the samples in another order, but
/// for the sheet, which has the hash of the samples' file.
#[test]
fn bytes_do_not_depend_on_threads_or_order() {
    let folder = Folder::with_job();
    let mut lines: Vec<&str> = SAMPLES.lines().collect();
    lines[1..].reverse();
    let mut seen = Vec::new();
    for (threads, samples) in
        [("1", SAMPLES.to_owned()), ("2", SAMPLES.to_owned()), ("2", lines.join("\n"))]
    {
        folder.put("samples.csv", samples);
        assert_eq!(
            folder.run_with(&["plan", "job.toml"], &[("RAYON_NUM_THREADS", threads)]).code,
            0
        );
        seen.push(folder.files("plans/job"));
    }
    assert!(seen[0] == seen[1]);
    for files in &mut seen[1..] {
        files.retain(|(name, _)| name != "sheet.html");
    }
    assert!(!seen[1].is_empty() && seen[1] == seen[2]);
}

/// PROJ's database is inside: no folder of PROJ's, wherever the environment points, is looked at.
#[test]
fn a_failed_run_leaves_the_last_good_one() {
    let folder = Folder::with_job();
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    let before = folder.files("plans/job");
    folder.put("samples.csv", SAMPLES.replace("19", "-19"));
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 2);
    assert_eq!(folder.files("plans/job"), before);
}

#[test]
fn a_rerun_replaces_its_own_files_and_keeps_others() {
    let folder = Folder::with_job();
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    folder.put("plans/job/notes.txt", "mine").put("plans/job/zones.shp", "damaged");
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    assert_eq!(folder.read("plans/job/notes.txt"), "mine");
    assert_eq!(folder.files("plans/job").len(), NAMES.len() + 1);
    assert_ne!(fs::read(folder.path().join("plans/job/zones.shp")).unwrap(), b"damaged");
    assert_eq!(folder.files_named("plans"), [".landplaster.lock", "job"]);
}

#[test]
fn a_folder_that_cannot_be_written() {
    let folder = Folder::with_job();
    folder.put("plans", "a file in the way");
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(said.code, 1);
    assert!(said.err.starts_with("error: plans: cannot be made ("), "{}", said.err);
    assert!(said.err.ends_with("; choose another folder with --out\n"), "{}", said.err);
}

#[test]
fn files_that_are_not_there_or_not_what_they_say() {
    let folder = Folder::with_job();
    fs::remove_file(folder.path().join("samples.csv")).unwrap();
    assert_eq!(
        refused(&folder, &["plan", "job.toml"]),
        "error: samples samples.csv: there is no such file; check the path\n"
    );
    assert_eq!(
        refused(&folder, &["plan", "missing.toml"]),
        "error: job file missing.toml: there is no such file; check the path\n"
    );
    for (name, content, told) in [
        ("samples.csv", "", "samples.csv: the file is empty, expected a text table"),
        ("field.geojson", "", "field.geojson: the file is empty, expected GeoJSON"),
        (
            "field.geojson",
            "id,longitude,latitude\n",
            "field.geojson: the content is not GeoJSON: expected value at line 1 column 1",
        ),
        (
            "samples.csv",
            "\0\0\u{1}\u{2}PNG",
            "samples.csv: the content is not a text table: it holds binary data",
        ),
        (
            "job.toml",
            "boundary = \n",
            "job.toml, line 1: string values must be quoted, expected literal string",
        ),
        (
            "job.toml",
            "boundary = \"field.docx\"\nsamples = \"samples.csv\"\n",
            "boundary field.docx: there is no such file; check the path",
        ),
    ] {
        assert_eq!(fault(name, content), format!("error: {told}\n"));
    }
}

#[test]
fn job_files_are_checked() {
    let with = |line: &str| fault("job.toml", format!("{line}\n{JOB}"));
    let below = |text: &str| fault("job.toml", format!("{JOB}{text}\n"));
    assert_eq!(
        fault("job.toml", "boundry = \"field.geojson\"\nsamples = \"samples.csv\"\n"),
        "error: job.toml, line 1: found unknown key \"boundry\", did you mean \"boundary\"?; known keys \
         here: name, units, date, grower, farm, entrance, boundary, samples, laboratory, exclude, \
         samples_within, swath, hole_setback, max_rate, min_rate, flat_rate, plausible_rate, cations, \
         surface, zones, spreader, pans, weigh_tests, order, prices, sodic, keep_out, set_rate, pile, tier, \
         taskdata, landing\n"
    );
    assert!(
        below("[surface]\npwer = 3")
            .contains("line 4: found unknown key \"pwer\", did you mean \"power\"?")
    );
    assert!(
        below("[surface]\ngrid = \"3 cubits\"")
            .contains("found unit \"cubits\", expected a length in ft")
    );
    assert!(below("[surface]\ngrid = 10").contains("expected a length in quotes with its unit"));
    assert!(below("[surface]\npower = 0").contains("[surface] power 0: expected a number above 0"));
    assert!(below("[surface]\nneighbors = \"some\"").contains("or \"all\""));
    assert!(
        below("[surface]\ngrid = \"1 mm\"")
            .contains("[surface] grid: found 0.00 m, expected 1 ft to 330 ft")
    );
    assert!(with("name = \"../x\"").contains("expected a name that a folder can have"));
    let tiers =
        "[[tier]]\nover = 10\nrate = \"1 ton/ac\"\n[[tier]]\nunder = 10\nrate = \"1 ton/ac\"";
    assert!(
        below(tiers).contains("tier 1: found a lower bound, expected none for the lowest tier")
    );
    let mixed = "[[tier]]\nunder = 10\nrate = \"1 ton/ac\"\n[[tier]]\nfrom = 10\nrate = \"1 t/ha\"";
    assert!(below(mixed).contains("found quantities in both US customary and metric units"));
    assert!(
        below("[[tier]]\nrate = \"1 bushel\"")
            .contains("found unit \"bushel\", expected a rate in ton/ac")
    );
}

#[test]
fn boundaries_are_checked() {
    let open = "[-85.2, 40.4], [-85.1976, 40.4], [-85.1976, 40.4018], [-85.2, 40.4018]";
    assert!(
        fault("field.geojson", ring(open)).contains("not closed"),
        "{}",
        fault("field.geojson", ring(open))
    );
    let bow =
        "[-85.2, 40.4], [-85.1976, 40.4018], [-85.1976, 40.4], [-85.2, 40.4018], [-85.2, 40.4]";
    let said = fault("field.geojson", ring(bow));
    assert!(said.contains("crosses or touches itself") && said.contains("-85.1988"), "{said}");
    let flat = "[-85.2, 40.4], [-85.1976, 40.4], [-85.1988, 40.4], [-85.2, 40.4]";
    assert!(
        fault("field.geojson", ring(flat)).contains("area"),
        "{}",
        fault("field.geojson", ring(flat))
    );
    let swapped = "[40.4, -85.2], [40.4, -85.1976], [40.4018, -85.1976], [40.4, -85.2]";
    let said = fault("field.geojson", ring(swapped));
    assert!(said.contains("longitude and latitude look swapped"), "{said}");
    assert_eq!(
        fault("field.geojson", "{\"type\": \"FeatureCollection\", \"features\": []}"),
        "error: field.geojson: found no polygon, expected a field boundary\n"
    );
}

#[test]
fn coordinate_systems_are_never_guessed() {
    let folder = Folder::with_job();
    for extension in ["shp", "shx", "dbf"] {
        folder.copy(&demo(&format!("home-lane/boundary.{extension}")));
    }
    let said =
        refused(&folder, &["plan", "--boundary", "boundary.shp", "--samples", "samples.csv"]);
    assert!(said.contains(".prj") && said.contains("crs"), "{said}");
    let crs = "boundary = { file = \"field.geojson\", crs = \"EPSG:999999\" }\nsamples = \"samples.csv\"\n";
    assert!(fault("job.toml", crs).contains("EPSG:999999"));
    let metres = SAMPLES.replace("longitude,latitude", "easting,northing");
    assert!(fault("samples.csv", metres).contains("crs"));
}

#[test]
fn samples_are_checked() {
    let with = |from: &str, to: &str| fault("samples.csv", SAMPLES.replace(from, to));
    for (value, told) in [
        ("0", " (B3): found CEC 0, expected more than 0 meq/100 g"),
        ("-19", " (B3): found CEC -19, expected more than 0 meq/100 g"),
        ("n/a!", ", column \"cec\": found \"n/a!\", expected a number"),
        (
            "119",
            " (B3): found CEC 119, expected at most 100 meq/100 g; is it in another unit? then write it into the header, or say cec_unit = \"mmol(c)/kg\"",
        ),
    ] {
        let said = with(",19", &format!(",{value}"));
        assert_eq!(said, format!("error: samples.csv, row 7{told}\n"));
    }
    let two = SAMPLES.lines().take(3).collect::<Vec<_>>().join("\n");
    assert!(fault("samples.csv", two).contains("expected at least 3"));
    let said = with("cec", "carbon");
    assert!(said.contains("carbon") && said.contains("longitude"), "{said}");
    let said = with("A2,-85.1988,40.4004", "A1,-85.1996,40.4004");
    assert!(said.contains("row 2") && said.contains("row 3"), "{said}");
    let moved = SAMPLES
        .replace("-85.19", "-85.20")
        .replace(",-85.208", ",-85.2015")
        .replace(",-85.209", ",-85.2016");
    let said = fault("samples.csv", moved.replace(",-85.2080", ",-85.2010"));
    assert!(said.contains("no sample inside the boundary"), "{said}");
    let rate = |rate: &str| fault("job.toml", format!("{JOB}[[tier]]\nrate = \"{rate}\"\n"));
    for (absurd, part) in [("2147483648 ton/ac", "is lb/ac meant?"), ("-1 ton/ac", "0 or more")] {
        assert!(rate(absurd).contains(part), "{}", rate(absurd));
    }
}

/// A neighbor's sample half a mile away does not count unless the job says so, twins within a
/// centimeter are averaged, and a CEC in another unit stops.
#[test]
fn doubtful_samples_are_told() {
    let told = |samples: String, job: &str| {
        let folder = Folder::with_job();
        folder.put("samples.csv", samples).put("job.toml", format!("{job}{JOB}"));
        let said = folder.run(&["plan", "job.toml"]);
        assert_eq!(said.code, 0, "{}", said.err);
        said.out
    };
    let far = SAMPLES.replace("B3,-85.1980", "B3,-85.1900");
    let out = told(far.clone(), "");
    assert!(out.contains("Look: 1 sample does not count") && out.contains("row 7 (B3)"), "{out}");
    let out = told(far, "samples_within = \"3000 ft\"\n");
    assert!(out.contains("Note: 1 sample counts though"), "{out}");
    let out = told(SAMPLES.replace("A2,-85.1988,40.4004", "A2,-85.1996,40.4004"), "");
    assert!(out.contains("Note: samples.csv, row 2 (A1) and samples.csv, row 3 (A2)"), "{out}");
    let out = told(SAMPLES.replace("cec", "cec (mmol(c)/kg)"), "");
    assert!(out.contains("STOP: the middle of the samples' CEC is 1."), "{out}");
    assert!(out.contains("Note: samples.csv: the column \"cec (mmol(c)/kg)\""), "{out}");
    assert!(out.find("STOP").unwrap() < out.find("Note: samples.csv").unwrap());
}

#[test]
fn what_can_be_left_out_is_warned_of() {
    let folder = Folder::with_job();
    let near = SAMPLES
        .replace("B3,-85.1980,", "B3,-85.19755,")
        .replace("A1,-85.1996,40.4004,6", "A1,-85.1996,40.4004,");
    folder.put("samples.csv", near);
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(
        said.out.contains("Look: samples.csv, row 2 (A1): found no CEC; the sample is left out"),
        "{}",
        said.out
    );
    assert!(said.out.contains("row 7 (B3)") && said.out.contains("outside"), "{}", said.out);
}

#[test]
fn laboratory_tables_are_joined_by_id() {
    let folder = Folder::with_job();
    let points: String =
        SAMPLES.lines().map(|line| line.rsplit_once(',').unwrap().0.to_owned() + "\n").collect();
    let laboratory =
        "Lab No,Sample ID,CEC\n1,A1,6\n2,A2,9\n3,A3,13\n4,B1,8\n5,B2,14\n6,b3,19\n7,Z9,11\n";
    folder.put("points.csv", points.replace("\nA2", "\nX2")).put("laboratory.csv", laboratory);
    let arguments = [
        "plan",
        "--boundary",
        "field.geojson",
        "--samples",
        "points.csv",
        "--laboratory",
        "laboratory.csv",
    ];
    let said = folder.run(&arguments);
    assert_eq!(said.code, 0, "{}", said.err);
    for id in ["\"X2\"", "\"A2\", \"Z9\""] {
        assert!(said.out.contains(id), "{id} is in\n{}", said.out);
    }
    folder.put("laboratory.csv", "Sample ID,CEC\nQ1,6\nQ2,9\n");
    assert_eq!(folder.run(&arguments).code, 2);
}

/// Where CEC is given twice, the choice is said.
#[test]
fn a_second_source_of_cec_is_warned_of() {
    let folder = Folder::with_job();
    folder.put("laboratory.csv", "id,CEC\nA1,7\nA2,9\nA3,13\nB1,8\nB2,14\nB3,19\n");
    let job = format!("{JOB}laboratory = \"laboratory.csv\"\n[cations]\nacidity = \"H\"\n");
    let said = folder.put("job.toml", job).run(&["plan", "job.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    let warned =
        "Look: samples.csv: found a CEC column here and in laboratory.csv; the latter is used";
    assert!(said.out.contains(warned), "{}", said.out);
    let warned = "laboratory.csv: found a CEC column, \"CEC\"; it is used, and CEC is not summed";
    assert!(said.out.contains(warned), "{}", said.out);
}

#[test]
fn help_names_the_job() {
    let said = Folder::empty().run(&["plan", "--help"]);
    assert!(said.code == 0 && said.out.contains("JOB.toml") && said.out.contains("--boundary"));
}

/// A ditch through the middle of the smallest job's field, a layer that is elsewhere, and a sample
/// that does not count.
#[test]
fn keep_outs_and_excluded_samples() {
    let ditch = |x: f64| {
        format!("{{\"type\": \"LineString\", \"coordinates\": [[{x}, 40.39], [{x}, 40.41]]}}")
    };
    let keep_out = |file: &str| {
        format!("[[keep_out]]\nfile = \"{file}\"\ndistance = \"35 ft\"\nwhy = \"ditch\"\n")
    };
    let folder = Folder::with_job();
    folder.put("ditch.geojson", ditch(-85.1988)).put("away.geojson", ditch(-86.0));
    let layers = format!("{}{}", keep_out("ditch.geojson"), keep_out("away.geojson"));
    folder.put("job.toml", format!("{JOB}exclude = [\"a3\"]\n{layers}"));
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains(", 5 samples, "), "{}", said.out);
    assert!(
        said.out.starts_with(
            "STOP: keep_out 2 (away.geojson): no part within 35 ft of the field, so nothing is kept off; the nearest of it is 42."
        ),
        "{}",
        said.out
    );
    let job = |lines: &str| fault("job.toml", format!("{JOB}{lines}"));
    assert_eq!(
        job("exclude = [\"A9\"]"),
        "error: job.toml, exclude: found \"A9\", expected the id of a sample; the nearest is \"A1\"\n"
    );
    assert_eq!(
        job("exclude = [\"A1\", \"A2\", \"A3\", \"B1\", \"B2\", \"B3\"]"),
        "error: found 0 usable samples, expected at least 3\n"
    );
    assert_eq!(
        job(&keep_out("ditch.geojson")),
        "error: keep_out ditch.geojson: there is no such file; check the path\n"
    );
}

/// A ditch and a well in the file of the boundary are no boundary, and are not passed over.
#[test]
fn lines_and_points_beside_a_boundary_are_told() {
    let folder = Folder::with_job();
    let field: serde_json::Value = serde_json::from_str(&folder.read("field.geojson")).unwrap();
    let feature = |geometry: serde_json::Value| serde_json::json!({"type": "Feature", "properties": {}, "geometry": geometry});
    let ditch = serde_json::json!({
        "type": "LineString", "coordinates": [[-85.1988, 40.39], [-85.1988, 40.41]]
    });
    let file = serde_json::json!({
        "type": "FeatureCollection", "features": [feature(field), feature(ditch)]
    });
    folder.put("field.geojson", file.to_string());
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(
        said.out.contains("field.geojson: 1 line or point among the boundaries, not kept from: "),
        "{}",
        said.out
    );
}
