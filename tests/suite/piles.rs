//! Piles in the field, as the program is run.

use crate::folder::{Folder, JOB, demo};

/// The square field of the smallest job is about 204 m by 200 m.
const LANE: &str =
    r#"{"type": "LineString", "coordinates": [[-85.2, 40.4009], [-85.1995, 40.4009]]}"#;
const WELL: &str = r#"{"type": "Point", "coordinates": [-85.1988, 40.4009]}"#;

fn with_pile(lines: &str) -> Folder {
    let folder = Folder::with_job();
    folder.put("lane.geojson", LANE).put("well.geojson", WELL);
    folder.put("job.toml", format!("{JOB}[pile]\n{lines}"));
    folder
}

fn well(distance: &str) -> String {
    format!(
        "[[pile.setback]]\nfile = \"well.geojson\"\nwhy = \"well\"\ndistance = \"{distance}\"\n"
    )
}

#[test]
fn a_plan_has_its_pile() {
    let folder = with_pile(&format!("access = \"lane.geojson\"\n{}", well("150 ft")));
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    for part in ["Pile 1: ", "from well, 150.0", "local rules govern", "piles.geojson"] {
        assert!(said.out.contains(part), "{part} is in\n{}", said.out);
    }
    let totals: serde_json::Value =
        serde_json::from_str(&folder.read("plans/job/totals.json")).unwrap();
    let pile = &totals["stockpile"]["piles"][0];
    assert_eq!(pile["tons"], totals["total"]["tons"]);
    assert!(folder.read("plans/job/piles.geojson").contains("\"Point\""));
    assert!(folder.read("plans/job/pile_area.geojson").contains("\"Polygon\""));
    assert!(folder.read("plans/job/zones.svg").contains("<title>pile 1: "));
    // Without the table the files of an earlier run go.
    folder.put("job.toml", JOB);
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    assert!(!folder.path().join("plans/job/piles.geojson").exists());
}

#[test]
fn the_sheet_says_what_to_heed() {
    let folder = with_pile(&well("200 ft"));
    let said = folder.run(&["pile", "job.toml", "--out", "sheet"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    for part in [
        "one pile of ",
        "loaded travel",
        "well (at least)",
        "passes by",
        "sheds rain",
        "power lines",
    ] {
        assert!(said.out.contains(part), "{part} is in\n{}", said.out);
    }
    assert_eq!(folder.files_named("sheet"), ["pile.txt", "pile_area.geojson", "piles.geojson"]);
    assert_eq!(folder.read("sheet/pile.txt"), said.out);
    assert!(!folder.path().join("plans").exists());
    let json = folder.run(&["pile", "job.toml", "--json"]).out;
    assert!(json.starts_with("{\n  \"allowed\""), "{json}");
}

#[test]
fn a_named_place_passes_or_fails() {
    let folder = with_pile(&well("200 ft"));
    let said = folder.run(&["pile", "job.toml", "--place", "-85.1979,40.4009"]).out;
    assert!(said.contains("The named place -85.19790000, 40.40090000 passes."), "{said}");
    assert!(said.contains(" % against "), "{said}");
    let said = folder.run(&["pile", "job.toml", "--place=-85.1988,40.4010"]).out;
    assert!(said.contains("fails: 36.4 ft from well, 200.0 ft is asked."), "{said}");
    let said = folder.run(&["pile", "job.toml", "--place=-85.1970,40.4009"]).out;
    assert!(said.contains("fails: it is 167.1 ft outside the field."), "{said}");
    for (place, expected) in [
        (
            "-85.1988",
            "error: --place: found \"-85.1988\", expected longitude and latitude such as -85.1453,40.5238\n",
        ),
        (
            "40.4,-95.1",
            "error: job.toml, [pile] place: found 40.4, -95.1, expected longitude and latitude in degrees, longitude first\n",
        ),
    ] {
        let said = folder.run(&["pile", "job.toml", &format!("--place={place}")]);
        assert_eq!((said.code, said.err.as_str()), (2, expected));
    }
}

#[test]
fn nowhere_is_said_and_no_fault() {
    let folder = with_pile(&well("600 ft"));
    let said = folder.run(&["pile", "job.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("no place in this field keeps what is asked"), "{}", said.out);
    assert!(said.out.contains("from well, 600.0 ft is asked"), "{}", said.out);
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(said.code, 0);
    assert!(said.out.contains("Look: no pile may lie anywhere in this field"), "{}", said.out);
}

#[test]
fn layers_are_checked() {
    let said = |lines: &str| {
        let folder = with_pile(lines);
        folder.put("yard.geojson", r#"{"type": "Polygon", "coordinates": [[[-85.2, 40.4], [-85.199, 40.4], [-85.199, 40.401], [-85.2, 40.4]]]}"#);
        folder.put("away.geojson", WELL.replace("-85.1988", "-86.1988"));
        let said = folder.run(&["plan", "job.toml"]);
        if said.code == 0 { said.out } else { said.err }
    };
    assert_eq!(
        said("access = \"yard.geojson\""),
        "error: [pile] access (yard.geojson): found a polygon, expected lines or points where road trucks can stand; draw the lane as a line\n"
    );
    assert_eq!(
        said("access = \"away.geojson\""),
        "error: [pile] access (away.geojson): no part within a mile of the field; check the file\n"
    );
    assert_eq!(
        said("access = \"gone.geojson\""),
        "error: [pile] access gone.geojson: there is no such file; check the path\n"
    );
    let away = said("[[pile.setback]]\nfile = \"away.geojson\"\nwhy = \"well\"");
    let warning = "STOP: [[pile.setback]] 1 (away.geojson): no part within a mile of the field; check the file\n";
    assert!(away.contains(warning), "{away}");
    let few = said("piles = 2\ncapacity = \"4 ton\"");
    assert!(
        few.starts_with(
            "error: [pile] capacity: found room for 8.00 ton in 2 piles, expected room for "
        ) && few.ends_with(" ton; set piles = 3, or leave it out\n"),
        "{few}"
    );
    let folder = Folder::with_job();
    assert_eq!(
        folder.run(&["pile", "job.toml"]).err,
        "error: job.toml: found no [pile], expected one, with a [[pile.setback]] for each thing to keep from\n"
    );
}

/// The best place on the demo farm would be by its pond: it is not taken.
#[test]
fn the_demo_keeps_off_its_pond() {
    let path = demo("pond-quarter.toml");
    let said = Folder::empty().run(&["pile", path.to_str().unwrap(), "--place=-85.14618,40.52695"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("fails: ") && said.out.contains("pond"), "{}", said.out);
}
