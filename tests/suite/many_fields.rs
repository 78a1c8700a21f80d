//! All fields of one file with the samples of all: as each of them alone, and who has nobody.

use crate::folder::Folder;

/// Three fields in a row, a furlong wide each, the middle one touching the first.
fn boundaries() -> String {
    let field = |name: &str, west: f64| {
        let east = west + 0.0024;
        format!(
            r#"{{"type":"Feature","properties":{{"Farm":"Home","Field":"{name}"}},"geometry":{{"type":"Polygon","coordinates":[[[{west},40.4],[{east},40.4],[{east},40.4018],[{west},40.4018],[{west},40.4]]]}}}}"#
        )
    };
    let fields = [field("North 80", -85.2), field("S 1/2", -85.1976), field("Idle", -85.18)];
    format!(r#"{{"type":"FeatureCollection","features":[{}]}}"#, fields.join(","))
}

/// Six samples in a field, 100 ft and more from its edges.
fn samples(field: &str, west: f64, cec: f64) -> String {
    let row = |(number, east, north): (u32, f64, f64)| {
        let (x, y, cec) = (west + east, 40.4 + north, cec + f64::from(number));
        format!("{field},{number},{x:.6},{y:.6},{cec}\n")
    };
    [
        (1, 0.0004, 0.0004),
        (2, 0.0012, 0.0004),
        (3, 0.002, 0.0004),
        (4, 0.0004, 0.0014),
        (5, 0.0012, 0.0014),
        (6, 0.002, 0.0014),
    ]
    .map(row)
    .concat()
}

const HEADER: &str = "Field,Sample ID,Longitude,Latitude,CEC\n";

fn farm() -> Folder {
    let folder = Folder::empty();
    let (north, south) = (samples("North 80", -85.2, 6.0), samples("S 1/2", -85.1976, 12.0));
    folder.put("fields.geojson", boundaries());
    folder.put("all.csv", format!("{HEADER}{north}{south}"));
    folder
        .put("north.csv", format!("{HEADER}{north}"))
        .put("south.csv", format!("{HEADER}{south}"));
    folder
}

fn totals(folder: &Folder, place: &str) -> serde_json::Value {
    serde_json::from_str(&folder.read(place)).unwrap()
}

#[test]
fn all_fields_are_as_each_alone() {
    let folder = farm();
    let said = folder.run(&["plan", "--boundaries", "fields.geojson", "--samples", "all.csv"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("1 field has no samples and no plan: Idle"), "{}", said.out);
    for (field, of, samples) in
        [("North 80", "North 80", "north.csv"), ("S 1-2", "S 1/2", "south.csv")]
    {
        let alone = ["plan", "--boundary", "fields.geojson", "--field", of, "--samples", samples];
        let alone = [alone.as_slice(), &["--out", "alone"]].concat();
        let said = folder.run(&alone);
        // A folder cannot be called S 1/2.
        if of == field {
            assert_eq!((said.code, said.err.as_str()), (0, ""));
            for file in ["zones.geojson", "totals.csv"] {
                let both =
                    ["plans", "alone"].map(|out| folder.read(&format!("{out}/{field}/{file}")));
                assert_eq!(both[0], both[1], "{field}");
            }
        }
    }
    let farm = totals(&folder, "plans/fields/farm.json");
    assert_eq!(farm["fields"].as_array().unwrap().len(), 2);
    assert_eq!(farm["unmet"]["fields"], serde_json::json!(["Idle"]));
}

/// Where they lie says the same as the column does, also along the edge that two fields share.
#[test]
fn by_where_they_lie() {
    let folder = farm();
    let text = folder.read("all.csv").replace("Field,Sample", "Note,Sample");
    folder.put("places.csv", text);
    for (samples, out) in [("all.csv", "column"), ("places.csv", "place")] {
        let line = ["plan", "--boundaries", "fields.geojson", "--samples", samples, "--out", out];
        assert_eq!(folder.run(&line).code, 0);
    }
    for field in ["North 80", "S 1-2"] {
        let both =
            ["column", "place"].map(|out| folder.read(&format!("{out}/{field}/zones.geojson")));
        assert_eq!(both[0], both[1], "{field}");
    }
}

#[test]
fn a_farm_file_says_it_too_and_jobs_are_written_of_it() {
    let folder = farm();
    let farm = "farm = \"Home\"\nboundaries = { file = \"fields.geojson\", names = \"Field\" }\nsamples = \"all.csv\"\n";
    folder.put("farm.toml", format!("{farm}max_rate = \"1 ton/ac\"\n"));
    assert_eq!(folder.run(&["plan", "farm.toml"]).code, 0);
    let line = ["start", "--farm", "--jobs", "--out", "own.toml", "fields.geojson", "all.csv"];
    let said = folder.run(&line);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("own.toml: written with 2 jobs"), "{}", said.out);
    let job = folder.read("North 80.toml");
    assert!(job.contains("field = \"North 80\""), "{job}");
    let said = folder.run(&["plan", "own.toml", "--out", "own"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    // Both go by the same samples; the one is held at 1 ton/ac.
    let tons = |place: &str| totals(&folder, place)["total"]["acres"].as_f64().unwrap();
    assert_eq!(tons("plans/S 1-2/totals.json"), tons("own/S 1-2/totals.json"));
    let again = folder.run(&line);
    assert_eq!(again.code, 2);
    assert!(again.err.contains("there already, and nothing is overwritten"), "{}", again.err);
}

#[test]
fn samples_of_no_field_and_of_two() {
    let folder = farm();
    let mut text = folder.read("all.csv").replace("Field,Sample", "Note,Sample");
    text.push_str("far,7,-85.1,40.4009,9\n");
    folder.put("places.csv", &text);
    let line = ["plan", "--boundaries", "fields.geojson", "--samples", "places.csv"];
    let said = folder.run(&line);
    assert!(
        said.out.contains("samples of no field") && said.out.contains("places.csv, row 14"),
        "{}",
        said.out
    );
    folder.put(
        "fields.geojson",
        boundaries()
            .replace("\"Idle\"", "\"North 160\"")
            .replace("-85.18", "-85.2")
            .replace("-85.1776", "-85.1976"),
    );
    let said = folder.run(&line);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("places.csv, row 2 in North 80 and North 160"), "{}", said.err);
    assert!(said.err.contains("found samples in two fields, expected each in one"), "{}", said.err);
}

/// A ditch by one field is none of the other's business; one by no field has a mistake in its file.
#[test]
fn what_the_farm_keeps_off_is_near_some_field() {
    let stops = |east: f64| {
        let folder = farm();
        let ditch =
            format!(r#"{{"type":"LineString","coordinates":[[{east},40.399],[{east},40.403]]}}"#);
        folder.put("ditch.geojson", ditch);
        let farm = "farm = \"Home\"\nboundaries = \"fields.geojson\"\nsamples = \"all.csv\"\n[[keep_out]]\nfile = \"ditch.geojson\"\ndistance = \"35 ft\"\nwhy = \"ditch\"\n";
        folder.put("farm.toml", farm);
        let said = folder.run(&["plan", "farm.toml"]);
        assert_eq!((said.code, said.err.as_str()), (0, ""));
        let stops = said.out.lines().filter(|line| line.starts_with("STOP"));
        (stops.map(str::to_owned).collect::<Vec<_>>(), folder)
    };
    // By the western field alone.
    let (none, folder) = stops(-85.1995);
    assert!(none.is_empty(), "{none:?}");
    let south = totals(&folder, "plans/S 1-2/totals.json");
    let told = south["warnings"].as_array().unwrap();
    assert!(told.iter().any(|told| told["code"] == "farm-keep-out-elsewhere"));
    assert_eq!(totals(&folder, "plans/North 80/totals.json")["unspread"][0]["why"], "ditch");
    let (nowhere, _) = stops(-84.1);
    assert_eq!(
        nowhere,
        [
            "STOP: Home: keep_out 1 (ditch.geojson), which all fields of the farm keep off: no part of it is near any field, so nothing is kept off; check the file and its coordinates"
        ]
    );
}
