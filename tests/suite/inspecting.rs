//! `landplaster inspect` as it is run, and task data in a job's folder.

use std::fs;

use serde_json::Value;

use crate::folder::{Folder, JOB, Said, demo};

fn planned(table: &str) -> Folder {
    let folder = Folder::with_job();
    folder.put("job.toml", format!("{JOB}{table}"));
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(said.code, 0, "{}", said.err);
    folder
}

/// The only report of a run with `--json`.
fn report(said: &Said) -> Value {
    let mut reports: Vec<Value> = serde_json::from_str(&said.out).unwrap();
    assert_eq!(reports.len(), 1);
    reports.remove(0)
}

#[test]
fn task_data_stands_in_the_jobs_folder() {
    let folder = planned("[taskdata]\nform = \"rate grid\"\ncustomer = \"A & B <\\\"C\\\">\"\n");
    assert_eq!(folder.files_named("plans/job/TASKDATA"), ["GRD00000.bin", "TASKDATA.XML"]);
    assert!(
        folder
            .read("plans/job/TASKDATA/TASKDATA.XML")
            .contains("B=\"A &amp; B &lt;&quot;C&quot;&gt;\"")
    );
    let totals: Value = serde_json::from_str(&folder.read("plans/job/totals.json")).unwrap();
    assert_eq!(totals["task_data"]["form"], "rate grid");
    // Another form leaves no grid of the form before, and none at all leaves no task data.
    folder.put("job.toml", JOB);
    assert_eq!(folder.run(&["plan", "job.toml", "--also", "taskdata"]).code, 0);
    assert_eq!(folder.files_named("plans/job/TASKDATA"), ["TASKDATA.XML"]);
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    assert!(!folder.path().join("plans/job/TASKDATA").exists());
    assert!(!folder.path().join("plans/job/taskdata.zip").exists());
}

#[test]
fn task_data_is_the_same_each_time() {
    let folder = planned("[taskdata]\nform = \"zone grid\"\n");
    let before = (
        folder.files("plans/job/TASKDATA"),
        fs::read(folder.path().join("plans/job/taskdata.zip")).unwrap(),
    );
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    let after = (
        folder.files("plans/job/TASKDATA"),
        fs::read(folder.path().join("plans/job/taskdata.zip")).unwrap(),
    );
    assert!(before == after);
}

/// Every output of every demo job is clean, and has the tons of the plan.
#[test]
fn our_own_outputs_are_clean() {
    let folder = Folder::empty();
    for job in ["home-lane", "pond-quarter", "creek-bottom"] {
        let file = demo(&format!("{job}.toml"));
        let said = folder.run(&["plan", file.to_str().unwrap(), "--also", "taskdata", "--json"]);
        let totals: Value = serde_json::from_str(&said.out).unwrap();
        let total = &totals["total"];
        let tons = total.get("tons").or(total.get("tonnes")).and_then(Value::as_f64).unwrap();
        let said = folder.run(&["inspect", &format!("plans/{job}"), "--json"]);
        assert_eq!(said.code, 0, "{}{}", said.out, said.err);
        let reports: Vec<Value> = serde_json::from_str(&said.out).unwrap();
        assert_eq!(reports.len(), 4, "TASKDATA, taskdata.zip, zones.geojson, zones.shp");
        let off = totals["task_data"]["difference_percent"].as_f64().unwrap();
        for report in reports {
            let mass = report["mass"].as_f64().unwrap();
            let task = report["format"].as_str().unwrap().starts_with("ISO");
            let expected = if task { tons * (1.0 + off / 100.0) } else { tons };
            // Totals have two decimals, written rates four.
            assert!((mass - expected).abs() < 0.006 + 1.1e-4 * tons, "{job}: {mass} {expected}");
        }
    }
}

#[test]
fn what_a_controller_sees() {
    let folder = planned("[taskdata]\nposition_lost = \"0.5 ton/ac\"\n");
    let said = folder.run(&["inspect", "plans/job/taskdata.zip"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    for part in [
        "plans/job/taskdata.zip: ISO 11783-10 task data, version 4.3\n",
        "  coordinates: WGS 84 longitude and latitude, as ISO 11783-10 has it\n",
        "  customer: Customer\n",
        "  field: job\n",
        "  position-lost zone: 4, 0.5 ton/ac\n",
        "1 CEC under 10  0.5 ton/ac      1  ",
        "No problem with the format was found.\n",
    ] {
        assert!(said.out.contains(part), "{part} is in\n{}", said.out);
    }
    for path in ["plans/job/TASKDATA", "plans/job/TASKDATA/TASKDATA.XML"] {
        assert_eq!(folder.run(&["inspect", path]).code, 0);
    }
}

#[test]
fn departures_of_geojson() {
    let folder = Folder::empty();
    let square = |x: f64, tail: &str| {
        format!("[[[{x},40.0],[{0},40.0],[{0},40.01],[{x},40.01]{tail}]]", x + 0.01)
    };
    let feature = |properties: &str, rings: &str| {
        format!(
            "{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":{rings}}}}}"
        )
    };
    let features = [
        feature("{\"Rate\":1.5}", &square(-85.0, ",[-85.0,40.0]")),
        feature("{\"Rate\":\"2\"}", &square(-84.995, ",[-84.995,40.0]")),
        feature("{\"Rate\":null}", &square(-84.98, "")),
        feature("{\"Rate\":-1}", "[[[-84.9,40.0],[-84.9,40.01],[-84.89,40.01],[-84.9,40.0]]]"),
    ];
    folder.put(
        "z.geojson",
        format!("{{\"type\":\"FeatureCollection\",\"features\":[{}]}}", features.join(",")),
    );
    let said = folder.run(&["inspect", "z.geojson", "--json"]);
    assert_eq!(said.code, 1);
    let found = report(&said);
    let departures: Vec<&str> =
        found["departures"].as_array().unwrap().iter().map(|d| d.as_str().unwrap()).collect();
    assert_eq!(
        departures,
        [
            "nothing says which unit the rates are in, so there are no tons; say it with --unit, such as --unit ton/ac",
            "feature 2: the rate is the text \"2\", not a number",
            "feature 3: the rate is empty",
            "feature 3, ring 1: it is not closed, the last position is not the first",
            "feature 4: the rate is -1, expected 0 or more",
            "feature 4, ring 1: it runs clockwise, expected counter-clockwise",
            departures[6],
        ]
    );
    // By hand: half of 0.01 by 0.01 degrees at 40 N, 1110.3 m by 853.9 m.
    assert!(
        departures[6].starts_with("feature 1 and feature 2 overlap by 4740"),
        "{}",
        departures[6]
    );
    assert!(departures[6].ends_with("m2 near -84.992500, 40.005000"), "{}", departures[6]);
    let said = folder.run(&["inspect", "z.geojson", "--unit", "kg/ha", "--rate", "RATE", "--json"]);
    let found = report(&said);
    assert_eq!(found["rate_unit"], "kg/ha");
    assert_eq!(found["zones"][0]["rate"], 1.5);
    let said = folder.run(&["inspect", "z.geojson", "--rate", "dose"]);
    assert!(said.out.contains("no attribute is called \"dose\", so no zone has a rate; the attributes are Rate; say which one it is with --rate"), "{}", said.out);
}

#[test]
fn departures_of_a_shapefile() {
    let folder = planned("");
    for extension in ["shp", "dbf"] {
        folder.copy(&folder.path().join(format!("plans/job/zones.{extension}")));
    }
    let said = folder.run(&["inspect", "zones.shp"]);
    assert_eq!(said.code, 1);
    for part in [
        "Problem: there is no .prj file: nothing says what the coordinates are\n",
        "Problem: there is no .shx file: many programs need it\n",
    ] {
        assert!(said.out.contains(part), "{part} is in\n{}", said.out);
    }
    let shp = fs::read(folder.path().join("zones.shp")).unwrap();
    let mut dbf = fs::read(folder.path().join("zones.dbf")).unwrap();
    // The name of the first field fills its 11 bytes, so that no zero ends it.
    dbf[32..43].copy_from_slice(b"ZONE_NUMBER");
    folder.put("zones.dbf", &dbf);
    let said = folder.run(&["inspect", "zones.shp"]);
    let part = "Problem: the field name \"ZONE_NUMBER\" is longer than 10 bytes\n";
    assert!(said.out.contains(part), "{}", said.out);
    // The first record has one ring, whose positions begin at byte 156.
    let count = u32::from_le_bytes(shp[148..152].try_into().unwrap());
    assert_eq!(shp[144], 1);
    let positions = &shp[156..156 + 16 * count as usize];
    let turned: Vec<u8> = positions.chunks(16).rev().flatten().copied().collect();
    let nan = [&f64::NAN.to_le_bytes(), &positions[8..]].concat();
    for (broken, part) in [
        (turned, "Problem: record 1, ring 1: it runs counter-clockwise, expected clockwise\n"),
        (nan, "Problem: record 1, ring 1: a position is not a number (NaN or infinite)\n"),
    ] {
        folder.put("zones.shp", [&shp[..156], &broken, &shp[156 + broken.len()..]].concat());
        let said = folder.run(&["inspect", "zones.shp"]);
        assert!(said.code == 1 && said.out.contains(part), "{part} is in\n{}", said.out);
    }
    // A boundary in feet, without rates, is no map for a controller.
    let said = folder.run(&["inspect", demo("home-lane/boundary.shp").to_str().unwrap()]);
    assert_eq!(said.code, 1);
    assert!(said.out.contains("Problem: the coordinates are in NAD"), "{}", said.out);
    assert!(said.out.contains("controllers take WGS 84 longitude and latitude"), "{}", said.out);
}

#[test]
fn gaps_and_parts() {
    let folder = Folder::empty();
    let zone = |kind: &str, coordinates: &str| {
        format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"rate\":1,\"rate_unit\":\"ton/ac\"}},\"geometry\":{{\"type\":\"{kind}\",\"coordinates\":{coordinates}}}}}"
        )
    };
    // A frame of four zones around a slit of 2 m by 850 m, and a zone of two parts.
    let zones = [
        zone("Polygon", "[[[-85,40],[-84.99,40],[-84.99,40.005],[-85,40.005],[-85,40]]]"),
        zone(
            "Polygon",
            "[[[-85,40.00502],[-84.99,40.00502],[-84.99,40.01],[-85,40.01],[-85,40.00502]]]",
        ),
        zone(
            "Polygon",
            "[[[-85.001,40],[-85,40],[-85,40.005],[-85,40.00502],[-85,40.01],[-85.001,40.01],[-85.001,40]]]",
        ),
        zone(
            "MultiPolygon",
            "[[[[-84.99,40],[-84.98,40],[-84.98,40.01],[-84.99,40.01],[-84.99,40.00502],[-84.99,40.005],[-84.99,40]]],[[[-84.9,40],[-84.89,40],[-84.89,40.01],[-84.9,40]]]]",
        ),
    ];
    folder.put(
        "z.geojson",
        format!("{{\"type\":\"FeatureCollection\",\"features\":[{}]}}", zones.join(",")),
    );
    let said = folder.run(&["inspect", "z.geojson"]);
    assert_eq!(said.code, 1);
    assert!(
        said.out.contains(
            "Problem: feature 4: it has 2 parts; some controllers read the first one only\n"
        ),
        "{}",
        said.out
    );
    // By hand: 2.22 m by 853.9 m.
    assert!(
        said.out.contains("Problem: a gap of 1896 m2 between zones near -84.995000, 40.005010\n"),
        "{}",
        said.out
    );
}

#[test]
fn what_cannot_be_read_is_said_with_exit_code_2() {
    let folder = Folder::empty();
    let said = |path: &str| {
        let said = folder.run(&["inspect", path]);
        assert_eq!((said.code, said.out.as_str()), (2, ""));
        said.err
    };
    assert_eq!(
        said("none.zip"),
        "error: task data none.zip: there is no such file; check the path\n"
    );
    folder.put("a.zip", "PK").put("a.txt", "x");
    assert!(said("a.zip").starts_with("error: a.zip: the content is not a ZIP archive: "));
    assert_eq!(
        said("a.txt"),
        "error: a.txt: found a text table, expected zones as .geojson, .json, .shp, .zip, .kml, .kmz, .gpkg\n"
    );
    folder.put("TASKDATA.XML", "<!DOCTYPE x [<!ENTITY a \"b\">]><ISO11783_TaskData/>");
    assert_eq!(
        said("TASKDATA.XML"),
        "error: TASKDATA.XML: found a document type, which task data has none of; entities are not followed\n"
    );
}

#[test]
fn references_do_not_lead_out_of_the_folder() {
    let folder = planned("[taskdata]\nform = \"rate grid\"\n");
    let text = folder.read("plans/job/TASKDATA/TASKDATA.XML");
    folder.put(
        "plans/job/TASKDATA/TASKDATA.XML",
        text.replace("G=\"GRD00000\"", "G=\"../../../etc/passwd\"").replace(
            " <CTR ",
            " <XFR A=\"../secret\" B=\"1\"/>\n <XFR A=\"CTR00000\" B=\"1\"/>\n <CTR ",
        ),
    );
    folder.put("plans/job/TASKDATA/CTR00000.XML", "<html/>");
    let said = folder.run(&["inspect", "plans/job/TASKDATA"]);
    assert_eq!(said.code, 1);
    for part in [
        "Problem: CTR00000.XML: found <html>, expected <XFC>\n",
        "Problem: a further file is called \"../secret\", expected three capitals and five digits; it is not looked for\n",
        "Problem: grid: its file is called \"../../../etc/passwd\", expected GRD and five digits; it is not looked for\n",
    ] {
        assert!(said.out.contains(part), "{part} is in\n{}", said.out);
    }
}

/// The smallest job with a well that is kept from.
fn well(distance: &str, unspread: &str) -> Folder {
    let folder = Folder::with_job();
    folder.put("well.geojson", "{\"type\":\"Point\",\"coordinates\":[-85.1988,40.4009]}");
    folder.put(
        "job.toml",
        format!("{JOB}[[keep_out]]\nfile = \"well.geojson\"\ndistance = \"{distance}\"\nwhy = \"a well\"\n[zones]\nunspread = \"{unspread}\"\n"),
    );
    folder
}

/// A hole as small as a well, and as round, is meant: no departure.
#[test]
fn a_well_is_no_gap() {
    let folder = well("10 ft", "leave out");
    assert_eq!(folder.run(&["plan", "job.toml", "--also", "taskdata"]).code, 0);
    let said = folder.run(&["inspect", "plans/job"]);
    assert_eq!(said.code, 0, "{}", said.out);
    // By hand: a circle of 3.048 m has 29.2 m2; the hole is drawn with straight edges.
    assert!(said.out.contains("note: a hole of 29 m2 in the zones near -85.1988"), "{}", said.out);
}

/// Nor is a ditch of 240 m with a bend that is left out, however narrow: its ends are round.
#[test]
fn a_ditch_is_no_gap() {
    for feet in [1, 3, 6, 8] {
        let folder = Folder::with_job();
        folder.put(
            "ditch.geojson",
            "{\"type\":\"LineString\",\"coordinates\":[[-85.1998,40.4003],[-85.1990,40.4013],[-85.1978,40.4016]]}",
        );
        folder.put(
            "job.toml",
            format!("{JOB}[[keep_out]]\nfile = \"ditch.geojson\"\ndistance = \"{feet} ft\"\nwhy = \"ditch\"\n[zones]\nunspread = \"leave out\"\n"),
        );
        assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
        for file in ["zones.geojson", "zones.shp"] {
            let said = folder.run(&["inspect", &format!("plans/job/{file}")]);
            assert_eq!(said.code, 0, "{}", said.out);
            assert!(said.out.contains("note: a hole of "), "{}", said.out);
        }
    }
}

/// What is kept from has rate 0 in every form, and is no gap.
#[test]
fn what_is_not_spread_has_rate_0() {
    for (form, unspread) in [
        ("zones", "leave out"),
        ("zones", "rate 0"),
        ("zone grid", "leave out"),
        ("rate grid", "rate 0"),
    ] {
        let folder = well("150 ft", unspread);
        let job = folder.read("job.toml");
        let cell = if form == "zones" { "" } else { "cell = \"20 ft\"\n" };
        folder.put("job.toml", format!("{job}[taskdata]\nform = \"{form}\"\n{cell}"));
        assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
        let totals: Value = serde_json::from_str(&folder.read("plans/job/totals.json")).unwrap();
        let said = folder.run(&["inspect", "plans/job/TASKDATA", "--json"]);
        assert_eq!(said.code, 0, "{}", said.out);
        let found = report(&said);
        let zones = found["zones"].as_array().unwrap();
        let none = zones.iter().find(|zone| zone["rate"] == 0.0).unwrap();
        // By hand: a circle of 150 ft has 1.623 acres; cells on it reach out by their diagonal at most.
        let acres = none["area"].as_f64().unwrap();
        let cell = totals["task_data"]["cell"].as_f64().unwrap_or(0.0);
        let most = std::f64::consts::PI * (150.0 + cell * 2.0_f64.sqrt()).powi(2) / 43_560.0;
        assert!((1.623 - 0.005..most + 0.005).contains(&acres), "{form}: {acres} to {most}");
        let left = totals["task_data"]["acres_left"].as_f64().unwrap_or(0.0);
        assert!((acres - left - 1.623).abs() < 0.006, "{form}: {acres} less {left}");
        let off = totals["task_data"]["difference_percent"].as_f64().unwrap();
        let tons = totals["total"]["tons"].as_f64().unwrap() * (1.0 + off / 100.0);
        assert!((found["mass"].as_f64().unwrap() - tons).abs() < 0.01, "{form}");
    }
}

#[test]
fn a_unit_that_is_not_the_files() {
    let folder = Folder::with_job();
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    let said = folder.run(&["inspect", "plans/job/zones.geojson", "--unit", "lb/ac"]);
    assert_eq!(said.code, 2, "{}", said.out);
    assert!(
        said.err.contains(
            "found rates in ton/ac and --unit lb/ac, expected the file's own unit; leave --unit out"
        ),
        "{}",
        said.err
    );
    assert_eq!(folder.run(&["inspect", "plans/job/zones.geojson", "--unit", "ton/ac"]).code, 0);
}
