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
    assert!(json.starts_with("{\n  \"heap\""), "{json}");
}

#[test]
fn a_named_place_passes_or_fails() {
    let folder = with_pile(&well("200 ft"));
    let said = folder.run(&["pile", "job.toml", "--place", "-85.1979,40.4009"]).out;
    assert!(
        said.contains("The named place 40.40090, -85.19790 (latitude, longitude) passes."),
        "{said}"
    );
    assert!(said.contains(" % against "), "{said}");
    let said = folder.run(&["pile", "job.toml", "--place=-85.1988,40.4010"]).out;
    assert!(said.contains(" ft from well, 200.0 ft required."), "{said}");
    let said = folder.run(&["pile", "job.toml", "--place=-85.1970,40.4009"]).out;
    assert!(said.contains("fails: it reaches 174.7 ft over the edge of the field."), "{said}");
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
    assert!(
        said.out.contains("no place in this field meets the setbacks for a pile"),
        "{}",
        said.out
    );
    assert!(said.out.contains("from well, 600.0 ft required"), "{}", said.out);
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
    let warning = "STOP: [[pile.setback]] 1 (away.geojson): no part within a mile of the field; the nearest of it is ";
    assert!(away.contains(warning), "{away}");
    let few = said("piles = 2\ncapacity = \"4 tons\"");
    assert!(
        few.starts_with(
            "error: [pile] capacity: found room for 8.00 tons in 2 piles, expected room for "
        ) && few.ends_with(" tons; set piles = 3, or leave it out\n"),
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

/// A well in the middle of the smallest job's field that only the pile keeps from.
#[test]
fn what_is_spread_over_is_told_first() {
    let folder = with_pile(&well("200 ft"));
    let said = folder.run(&["plan", "job.toml"]);
    let warning = "STOP: [[pile.setback]] 1 (well.geojson), well: the map spreads over it, 1 point in the field; a pile setback holds back the pile alone. Add a [[keep_out]] with the same file and the distance that your rules ask\n";
    assert!(said.out.starts_with(warning), "{}", said.out);
    assert!(folder.run(&["pile", "job.toml"]).out.contains(warning));
    let totals: serde_json::Value =
        serde_json::from_str(&folder.read("plans/job/totals.json")).unwrap();
    assert_eq!(totals["warnings"][0]["code"], "setback-spread-over");
    assert!(folder.read("plans/job/sheet.html").contains("the map spreads over it"));
    let svg = folder.read("plans/job/zones.svg");
    assert!(svg.contains("<title>well</title>") && svg.contains(">well</text>"), "drawn and named");
    let kml = folder.read("plans/job/zones.kml");
    for part in ["<name>well</name>", "<name>pile 1</name>", "<Point>"] {
        assert!(kml.contains(part), "{part} is in\n{kml}");
    }
    let keep_out = "[[keep_out]]\nfile = \"well.geojson\"\nwhy = \"well\"\ndistance = \"50 ft\"\n";
    folder.put("job.toml", format!("{JOB}{keep_out}[pile]\n{}", well("200 ft")));
    let said = folder.run(&["plan", "job.toml"]);
    assert!(!said.out.contains("STOP"), "{}", said.out);
}

/// The middle of the smallest job's field is a pond.
#[test]
fn a_hole_is_asked_about_and_can_be_set() {
    let pond = ", [[-85.199, 40.4007], [-85.1986, 40.4007], [-85.1986, 40.4011], [-85.199, 40.4011], [-85.199, 40.4007]]]}";
    let field = crate::folder::FIELD.trim_end_matches("]}").to_owned() + pond;
    let folder = Folder::with_job();
    folder.put("field.geojson", &field).put("job.toml", format!("{JOB}[pile]\n"));
    let said = folder.run(&["plan", "job.toml"]);
    assert!(said.out.starts_with("STOP: the map spreads up to the edge of 1 hole"), "{}", said.out);
    assert!(said.out.contains("from hole in the field, 200.00 ft"), "{}", said.out);
    folder.put("job.toml", format!("hole_setback = \"35 ft\"\n{JOB}[pile]\n"));
    let said = folder.run(&["plan", "job.toml"]);
    assert!(!said.out.contains("STOP"), "{}", said.out);
    assert!(said.out.contains("within 35 ft of hole in the field"), "{}", said.out);
    folder.put("job.toml", format!("hole_setback = \"0 ft\"\n{JOB}"));
    let said = folder.run(&["plan", "job.toml"]).out;
    assert!(!said.contains("STOP") && !said.contains("Not spread"), "{said}");
    folder.put("job.toml", format!("hole_setback = \"-1 ft\"\n{JOB}"));
    assert_eq!(
        folder.run(&["plan", "job.toml"]).err,
        "error: job.toml, hole_setback: found -1.00 ft, expected 0 ft to 5,280 ft (0 m to 1609 m)\n"
    );
}

#[test]
fn a_pile_without_known_water_is_said_to_be_unchecked() {
    let folder = with_pile("");
    let said = folder.run(&["plan", "job.toml"]);
    assert!(said.out.starts_with("STOP: the pile is checked against no water"), "{}", said.out);
    let said = folder.run(&["pile", "job.toml"]).out;
    assert!(said.contains("STOP: the pile is checked against no water"), "{said}");
    assert!(said.contains("Nothing is known that a pile must keep from"), "{said}");
    assert!(said.contains(" ft wide and ") && said.contains("at 37 degrees"), "{said}");
}

/// Two layers with one name: each has its own acres and its own label.
#[test]
fn layers_of_one_name_are_told_apart() {
    let folder = Folder::with_job();
    folder.put("west.geojson", WELL.replace("-85.1988", "-85.1995")).put("east.geojson", WELL);
    let layer = |file: &str, distance: &str| {
        format!("[[keep_out]]\nfile = \"{file}\"\nwhy = \"water\"\ndistance = \"{distance}\"\n")
    };
    let layers = layer("west.geojson", "50 ft") + &layer("east.geojson", "100 ft");
    folder.put("job.toml", format!("{JOB}{layers}"));
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    let sheet = folder.read("plans/job/sheet.html");
    // By hand: discs of 50 ft and 100 ft have 0.18 and 0.72 ac.
    for acres in ["<td class=\"number\">0.18</td>", "<td class=\"number\">0.72</td>"] {
        assert!(sheet.contains(acres), "{acres}");
    }
    let svg = folder.read("plans/job/zones.svg");
    assert!(svg.contains(">50 ft from water</text>") && svg.contains(">100 ft from water</text>"));
}
