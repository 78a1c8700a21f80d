//! Files of several fields and layers, and the program's own files, as it is run.

use crate::folder::{FIELD, Folder, JOB, SAMPLES};

const FORMATS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/formats");

fn zones_of(folder: &Folder, job: &str) -> String {
    folder.put("next.toml", format!("name = \"next\"\n{job}"));
    let said = folder.run(&["plan", "next.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    folder.read("plans/next/zones.geojson")
}

/// What goes out as task data, with eight decimals as the field has it, comes in as the same field.
#[test]
fn a_stick_that_comes_back() {
    let folder = Folder::with_job();
    let said = folder.run(&["plan", "job.toml", "--also", "taskdata"]);
    assert_eq!(said.code, 0, "{}", said.err);
    let zones = folder.read("plans/job/zones.geojson");
    for path in ["TASKDATA", "TASKDATA/TASKDATA.XML", "taskdata.zip"] {
        let job = format!("boundary = \"plans/job/{path}\"\nsamples = \"samples.csv\"\n");
        assert_eq!(zones_of(&folder, &job), zones, "{path}");
    }
    let said = folder.run(&["inspect", "plans/job/zones.kml", "--json"]);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    assert!(said.out.contains("\"rate_unit\": \"ton/ac\""), "{}", said.out);
}

#[cfg(feature = "geopackage")]
#[test]
fn one_package_of_all() {
    let ditch = r#"{"type": "LineString", "coordinates": [[-85.2, 40.401], [-85.1976, 40.401]]}"#;
    let table = "[[keep_out]]\nfile = \"ditch.geojson\"\ndistance = \"20 ft\"\nwhy = \"ditch\"\n\n\
        [pile]\npiles = 1\n\n[[pile.setback]]\nfile = \"ditch.geojson\"\nwhy = \"ditch\"\n";
    let folder = Folder::with_job();
    folder.put("ditch.geojson", ditch).put("job.toml", format!("{JOB}{table}"));
    let read = || std::fs::read(folder.path().join("plans/job/zones.gpkg")).unwrap();
    let said = folder.run(&["plan", "job.toml", "--also", "gpkg"]);
    assert_eq!(said.code, 0, "{}", said.err);
    let first = read();
    assert_eq!(folder.run(&["plan", "job.toml", "--also", "gpkg"]).code, 0);
    assert!(first == read());
    let said = folder.run(&["inspect", "plans/job/zones.gpkg"]);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    let said = folder.run(&["inspect", "plans/job/zones.gpkg", "--layer", "x"]);
    assert_eq!(
        said.err,
        "error: plans/job/zones.gpkg: found no layer \"x\", expected one of \"layers\", \"piles\", \"samples\", \"unspread\", \"zones\"\n"
    );
    // A run that does not ask for it takes it away.
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    assert!(!folder.path().join("plans/job/zones.gpkg").exists());
}

#[test]
fn one_field_of_a_farm() {
    let folder = Folder::empty();
    let file = format!("{FORMATS}/farm.kml");
    folder.put(
        "samples.csv",
        SAMPLES
            .replace("-85.19", "-85.20")
            .replace("40.4004", "40.493")
            .replace("40.4014", "40.497"),
    );
    let arguments = ["plan", "--boundary", &file, "--samples", "samples.csv"];
    let said = folder.run(&arguments);
    assert_eq!(said.code, 2);
    assert_eq!(
        said.err,
        format!(
            "error: {file}: found several fields, by its column \"Field\": \"North\", \"South\"; say which one (field = \"…\", or merge = true if all of them are one field)\n"
        )
    );
    let said = folder.run(&[&arguments[..], &["--field", "south"]].concat());
    assert_eq!(said.code, 0, "{}", said.err);
}

#[test]
fn merging_is_told() {
    let folder = Folder::with_job();
    let ring = FIELD.split_once("[[").unwrap().1.trim_end_matches("]]}");
    let pond = "[-85.199, 40.4005], [-85.1985, 40.4005], [-85.1985, 40.401], [-85.199, 40.4005]";
    let both = format!("{{\"type\": \"MultiPolygon\", \"coordinates\": [[[{ring}]], [[{pond}]]]}}");
    folder.put("field.geojson", both);
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(
        said.err,
        "error: field.geojson: part 2 lies inside part 1; remove one, or make it a hole, as merge = true in the boundary's table does\n"
    );
    folder.put(
        "job.toml",
        JOB.replace("\"field.geojson\"", "{ file = \"field.geojson\", merge = true }"),
    );
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    // 0.29 ac: half of 0.0005 by 0.0005 degrees, 42.4 m by 55.5 m.
    assert!(
        said.out.contains(
            "polygon 2, 0.29 acres, lies inside polygon 1 and was cut out (merge): nothing is spread there"
        ),
        "{}",
        said.out
    );
}
