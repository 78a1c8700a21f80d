//! What the field sheet says of the spreader, its catch-pan test, money and inputs.

use std::path::Path;

use crate::folder::{Folder, JOB};

const TOP: &str = "spreader = \"machine.toml\"\npans = \"pans-after.csv\"\n";
const PRICES: &str = "[prices]\nproduct = 40\nspreading = 10\nspreading_per = \"acre\"\n[order]\ndelivery = \"24 tons\"\n";

fn folder() -> Folder {
    let folder = Folder::with_job();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-farm/spreader");
    folder.copy(&demo.join("machine.toml")).copy(&demo.join("pans-after.csv"));
    folder.put("job.toml", format!("name = \"field\"\n{JOB}{TOP}{PRICES}"));
    folder
}

fn sheet(folder: &Folder) -> String {
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    folder.read("plans/field/sheet.html")
}

/// The text between two others.
fn between<'t>(text: &'t str, before: &str, after: &str) -> &'t str {
    let start = text.find(before).unwrap() + before.len();
    &text[start..start + text[start..].find(after).unwrap()]
}

/// As the commands say it that set the spreader and judge the pans.
#[test]
fn settings_are_those_of_the_commands() {
    let folder = folder();
    let sheet = sheet(&folder);
    let setup =
        folder.run(&["spreader", "machine.toml", "--totals", "plans/field/totals.json"]).out;
    let gate = between(&setup, "  set ", ":");
    assert!(sheet.contains(&format!("<td><bdi>{gate} (")), "{gate}");
    let pans = folder.run(&["pans", "pans-after.csv"]).out;
    let cv = between(&pans, "  CV at 40 ft:    ", "\n");
    assert!(sheet.contains(&format!("<td><bdi>{cv}</bdi>")), "{cv}");
    assert!(sheet.contains("The swath of 40 ft is fine: its CV is within 15 %."));
    assert!(sheet.contains("<svg role=\"img\" aria-labelledby=\"pans-title\""));
}

/// As the totals have it.
#[test]
fn money_is_that_of_the_totals() {
    let folder = folder();
    let sheet = sheet(&folder);
    let totals: serde_json::Value =
        serde_json::from_str(&folder.read("plans/field/totals.json")).unwrap();
    let written = &totals["order"]["money"]["variable"]["total"];
    let cost = between(&sheet, "Cost of this map</th><td>", "</td>");
    let (_, total) = cost.rsplit_once(" = ").unwrap();
    let total = total.replace(',', "");
    assert_eq!(Some(total.parse::<f64>().unwrap()), written.as_f64(), "{}", totals["order"]);
}

/// The digits are those that Python's hashlib gives for the boundary's text.
#[test]
fn inputs_have_their_hashes() {
    let sheet = sheet(&folder());
    assert!(sheet.contains("<bdi>field.geojson</bdi> <code>e3a06573f3a0</code>"));
    assert!(sheet.contains("<bdi>pans-after.csv</bdi> <code>"));
}

#[test]
fn a_bad_pan_test_is_named() {
    let folder = folder();
    folder.put("pans-after.csv", "# pan size: 20 in x 20 in\ndistance (ft),catch (g)\n-5,-1\n");
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(
        said.err,
        "error: pans-after.csv, line 3: catch: found -1 g, expected zero or more; \
         take the empty pan's weight off once only\n"
    );
    assert_ne!(said.code, 0);
}

/// A farm's field is planned again when its pans are.
#[test]
fn new_pans_make_a_new_sheet() {
    let folder = folder();
    folder.put("farm.toml", "farm = \"farm\"\njobs = [\"job.toml\"]\n");
    let plan = || {
        let said = folder.run(&["plan", "farm.toml"]);
        assert_eq!((said.code, said.err.as_str()), (0, ""));
        folder.read("plans/field/sheet.html")
    };
    let first = plan();
    assert_eq!(plan(), first);
    let pans = folder.read("pans-after.csv").replace("0,54,53", "0,44,43");
    folder.put("pans-after.csv", pans);
    assert_ne!(plan(), first);
}
