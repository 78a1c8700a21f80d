//! Results in the files that laboratories send, and what a user types for them.

use std::path::Path;

use crate::folder::{FIELD, Folder, JOB};

const POINTS: &str =
    "id,longitude,latitude\n1,-85.1996,40.4004\n2,-85.1988,40.4004\n3,-85.1980,40.4014\n";

fn folder() -> Folder {
    let folder = Folder::empty();
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/laboratory");
    folder.copy(&fixtures.join("results.xlsx"));
    folder.put("field.geojson", FIELD).put("points.csv", POINTS);
    folder
}

const PLAN: [&str; 7] = [
    "plan",
    "--boundary",
    "field.geojson",
    "--samples",
    "points.csv",
    "--laboratory",
    "results.xlsx",
];

#[test]
fn a_spreadsheet_is_planned_and_what_was_decided_is_told() {
    let folder = folder();
    let said = folder.run(&PLAN);
    assert_eq!(said.code, 0, "{}", said.err);
    for words in ["those of 0-6 are used", "\"<5\" (row 9), below detection", "\"Average\""] {
        assert!(said.out.contains(words), "{words}: {}", said.out);
    }
}

#[test]
fn columns_depth_and_sheet_are_named_on_the_command_line() {
    let folder = folder();
    let run = |more: &[&str]| folder.run(&[&PLAN[..], more].concat());
    let said = run(&["--sheet", "Earlier"]);
    assert!(said.code == 0 && said.out.contains("all 3 samples have CEC 7.0"), "{}", said.out);
    let said = run(&["--depth", "6-12"]);
    assert!(said.err.contains("found 1 usable sample"), "{}", said.err);
    let said = run(&["--depth", "12-24"]);
    assert!(said.err.contains("expected one of \"0-6\", \"6-12\""), "{}", said.err);
    let said = run(&["--cec", "pH"]);
    assert!(said.err.contains("which is another result"), "{}", said.err);
    let said = run(&["--id", "Lab No."]);
    assert!(said.err.contains("found no id that is in both"), "{}", said.err);
    // The same in a job file.
    folder.put("job.toml", "boundary = \"field.geojson\"\nsamples = \"points.csv\"\nlaboratory = { file = \"results.xlsx\", sheet = \"Earlier\" }\n");
    let said = folder.run(&["plan", "job.toml"]);
    assert!(said.code == 0 && said.out.contains("all 3 samples have CEC 7.0"), "{}", said.out);
}

/// The samples of the smallest job in EPSG:32616, by PROJ 9.5.1 (pyproj).
#[test]
fn eastings_without_a_system_are_tried() {
    let folder = Folder::empty();
    folder.put("job.toml", JOB).put("field.geojson", FIELD);
    folder.put("samples.csv", "id,x,y,cec\nA,652784.29,4473755.32,6\nB,652852.19,4473756.71,9\nC,652917.82,4473869.10,13\n");
    let said = folder.run(&["plan", "job.toml"]);
    assert!(
        said.err.contains("they would lie in the field in WGS 84 / UTM zone 16N (EPSG:32616) (crs = \"EPSG:32616\")"),
        "{}",
        said.err
    );
}

/// The row of units below the header says another unit than the header: neither is guessed.
#[test]
fn units_that_contradict_are_refused() {
    let folder = Folder::with_job();
    let table = |heading: &str, unit: &str| {
        let rows: Vec<&str> = crate::folder::SAMPLES.lines().skip(1).collect();
        format!("id,longitude,latitude,{heading}\n,deg,deg,{unit}\n{}\n", rows.join("\n"))
    };
    folder.put("samples.csv", table("CEC (meq/100g)", "mmol(+)/kg"));
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(said.code, 2, "{}", said.out);
    assert!(
        said.err.contains("found unit \"mmol(+)/kg\", expected meq/100g as in the header above it"),
        "{}",
        said.err
    );
    folder.put("samples.csv", table("CEC (meq/100g)", "cmol/kg"));
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
}
