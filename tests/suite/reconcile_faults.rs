//! What `reconcile` refuses or warns of: tickets, records and seasons that would give a wrong
//! figure. Every figure is by hand.

use std::fmt::Write as _;
use std::fs;

use crate::folder::{Folder, JOB};

const TICKETS: &str = "date,field,tons\n2026-04-14,job,6.5\n2026-04-15,Job,5.25\n";
/// The keys of a machine file that are needed, and a constant.
const MACHINE: &str = include_str!("../../demo-farm/spreader/machine.toml");

fn planned() -> Folder {
    let folder = Folder::with_job();
    folder.put("job.toml", JOB).put("tickets.csv", TICKETS).put("machine.toml", MACHINE);
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    folder
}

fn reconcile<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&["reconcile", "plans/job", "--tickets", "tickets.csv"], more].concat()
}

fn refused(folder: &Folder, more: &[&str]) -> String {
    let said = folder.run(&reconcile(more));
    assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.err);
    said.err
}

fn done(folder: &Folder, more: &[&str]) -> String {
    let said = folder.run(&reconcile(more));
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{}", said.out);
    said.out
}

fn figures(folder: &Folder, more: &[&str]) -> serde_json::Value {
    serde_json::from_str(&done(folder, &[more, &["--json"]].concat())).unwrap()
}

fn has(out: &str, line: &str) {
    assert!(out.lines().any(|found| found == line), "{line}\n{out}");
}

/// Points over the whole field, 10 m apart, and as far as `share` of it from the west.
fn points(share: f64, rate: f64) -> String {
    let mut text = "longitude,latitude,rate (ton/ac)\n".to_owned();
    for column in (0..20).take_while(|column| f64::from(*column) < 20.0 * share) {
        for row in 0..20 {
            let (x, y) = (f64::from(column) + 0.5, f64::from(row) + 0.5);
            writeln!(text, "{},{},{rate}", -85.2 + x * 0.00012, 40.4 + y * 0.00009).unwrap();
        }
    }
    text
}

const LOG: [&str; 4] = ["--applied", "log.csv", "--rate", "rate (ton/ac)"];
const MACHINE_TOO: [&str; 2] = ["--machine", "machine.toml"];

/// Half of the field is recorded: no constant, and none in the season; all of it: one.
#[test]
fn half_a_record_gives_no_constant() {
    let folder = planned();
    let all = [&LOG[..], &MACHINE_TOO, &["--season", "season.csv"]].concat();
    folder.put("log.csv", points(0.5, 1.1));
    let out = done(&folder, &all);
    assert!(out.contains("No controller constant is suggested: the record covers "), "{out}");
    assert!(
        out.contains(" acres of job that were to be spread, under 90 %: give the whole record.")
    );
    assert!(folder.read("season.csv").ends_with(",,\n"), "{}", folder.read("season.csv"));
    let said = figures(&folder, &all);
    assert!(said["correction"].is_null());
    let zones = said["fields"][0]["zones"].as_array().unwrap();
    let sum = |key: &str| zones.iter().map(|zone| zone[key].as_f64().unwrap()).sum::<f64>();
    // Half of it, and 20 m of 102 m more, if the zones there have a point of their own.
    let share = sum("recorded") / sum("area");
    assert!((0.45..=0.62).contains(&share), "{share}");
    folder.put("log.csv", points(1.0, 1.1));
    let said = figures(&folder, &all);
    let zones = said["fields"][0]["zones"].as_array().unwrap();
    assert!(zones.iter().all(|zone| zone["recorded"] == zone["area"]), "{said}");
    // 11.75 ton by scale on 9.98 ac at 1.1 ton/ac.
    let ratio = 11.75 / said["fields"][0]["applied"].as_f64().unwrap();
    let found = said["correction"]["spread_to_applied"].as_f64().unwrap();
    assert!((found - ratio).abs() < 1e-9, "{said}");
    assert!(folder.read("season.csv").lines().last().unwrap().split(',').all(|c| !c.is_empty()));
}

/// Pounds read as tons: 2000 times too much.
#[test]
fn a_ratio_that_no_constant_explains() {
    let folder = planned();
    folder.put("log.csv", points(1.0, 2200.0));
    // 2,200 lb/ac and kg/ha are about the ton of the plan.
    let said = refused(&folder, &LOG);
    assert!(said.contains("\"rate (ton/ac)\", read in ton/ac, makes "), "{said}");
    assert!(said.contains("in lb/ac it is ") && said.contains(", in kg/ha "), "{said}");
    // By hand: 11.75 ton of tickets, 10.06 ac at 2.2 ton/ac.
    folder.put("log.csv", points(1.0, 2.2));
    let out = done(&folder, &[&LOG[..], &MACHINE_TOO].concat());
    has(
        &out,
        "No controller constant is suggested: the scale says 0.5310 times the controller, outside 0.7 to 1.4: check the units and the completeness of the record and of the tickets.",
    );
}

/// A square over the field and 10 % more to the east, whose rate is 1 ton/ac, once and twice.
#[test]
fn polygons_off_the_zones_and_twice() {
    let folder = planned();
    let square = r#"{"type":"Feature","properties":{"rate":1},"geometry":{"type":"Polygon","coordinates":[[[-85.2,40.4],[-85.19742,40.4],[-85.19742,40.4018],[-85.2,40.4018],[-85.2,40.4]]]}}"#;
    let layer = |times: usize| {
        let all = vec![square; times].join(",");
        format!("{{\"type\":\"FeatureCollection\",\"features\":[{all}]}}")
    };
    let record = ["--applied", "p.geojson", "--rate", "rate", "--unit", "ton/ac"];
    let with = [&record[..], &MACHINE_TOO].concat();
    folder.put("p.geojson", layer(1));
    let said = figures(&folder, &with);
    let field = &said["fields"][0];
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    // 0.00018 of 0.0024 degrees: 7.5 % of the field's acres, at 1 ton/ac as many tons.
    let off = 0.075 * number(&field["area"]);
    assert!((number(&said["area_off_the_zones"]) - off).abs() <= 0.011, "{said}");
    assert!((number(&said["applied_off_the_zones"]) - off).abs() <= 0.011, "{said}");
    let counted = number(&field["applied"]) + number(&said["applied_off_the_zones"]);
    let ratio = number(&said["correction"]["spread_to_applied"]);
    assert!((ratio - 11.75 / counted).abs() < 1e-9, "{said}");
    folder.put("p.geojson", layer(2));
    let once = said.clone();
    let said = figures(&folder, &with);
    assert!(
        said["no_correction"]
            .as_str()
            .unwrap()
            .contains("over 110 %: take out what is in it twice")
    );
    for key in ["within_10_percent_share", "area"] {
        assert_eq!(said["fields"][0][key], once["fields"][0][key], "{key}");
    }
    let area = number(&field["area"]);
    let overlap = format!(
        "job: the record's polygons overlap: {:.2} ac on {area:.2} ac of ground; the tons of all count",
        2.0 * area
    );
    let warnings = said["warnings"].as_array().unwrap();
    let close = |w: &serde_json::Value| w.as_str().unwrap().starts_with(&overlap[..40]);
    assert!(warnings.iter().any(close), "{overlap} {warnings:?}");
}

#[test]
fn tickets_that_cannot_be() {
    let folder = planned();
    let with = |text: &str| {
        folder.put("tickets.csv", text);
        refused(&folder, &[])
    };
    for (text, expected) in [
        (
            "date;field;kg\n2026-04-14;job;44120,5\n2026-04-15;job;43.980\n",
            "tickets.csv, row 2 and tickets.csv, row 3, column \"kg\": found \"44120,5\" and \"43.980\", expected one decimal mark throughout; write all with a comma or all with a point, and without thousands separators",
        ),
        (
            "date,field,tons\n2026-04-14,job,44120\n",
            "tickets.csv, row 2, column \"tons\": found \"44120\", expected at most 60 tons a ticket, more than any road truck carries; check the number and the unit in the header",
        ),
        (
            "date,field,lb\n2026-04-14,job,\"44,12\"\n",
            "tickets.csv, row 2, column \"lb\": found \"44,12\", expected a number such as 47580 or 47,580",
        ),
        (
            "date,field,tons\n1926-04-14,job,22\n",
            "tickets.csv, row 2, column \"date\": found \"1926-04-14\", expected a year from 2000 to 2099; mend the date",
        ),
        (
            "date,field,tons\n2026-04-14,job,22\n2025-04-13,job,22\n",
            "tickets.csv, row 3 and tickets.csv, row 2: found the dates 2025-04-13 and 2026-04-14, expected tickets of one season, no more than 12 months apart; mend the date, or give each season a file",
        ),
        (
            "date,field,ticket no.,tons\n2026-04-14,job,7,22\n2026-04-15,job,7,21\n",
            "tickets.csv, row 2 and tickets.csv, row 3: found the ticket \"7\" twice, expected each ticket once; delete one row or mend its number",
        ),
        (
            "date,field,tons\n2026-04-14,job,22\n2026-04-14,job,22\n",
            "tickets.csv, row 2 and tickets.csv, row 3: found the same row twice, expected each load once; delete one row or, if they are two loads, give each its number in a column \"ticket\"",
        ),
        (
            "date,field,gross lb,tare lb\n2026-04-14,job,50000,20000\n",
            "tickets.csv: found mass columns \"gross lb\", \"tare lb\", expected one of the load alone, such as \"net lb\"; say which one with --tons COLUMN",
        ),
        (
            "date,field,gross lb\n2026-04-14,job,50000\n",
            "tickets.csv: found mass columns \"gross lb\", expected one of the load alone, such as \"net lb\"; say which one with --tons COLUMN",
        ),
        (
            "date,field,tons\n2026-04-14,yard,22\n",
            "tickets.csv: found tickets of \"yard\" only, expected some of \"job\"; check the folders and the names in the column \"field\"",
        ),
    ] {
        assert_eq!(with(text), format!("error: {expected}\n"));
    }
}

/// 50,000 lb less 30,000 lb: 20,000 lb, 10 ton.
#[test]
fn gross_tare_and_net() {
    let folder = planned();
    folder.put(
        "tickets.csv",
        "date,field,gross lb,tare lb,net lb\n2026-12-30,job,50000,30000,20000\n",
    );
    assert_eq!(figures(&folder, &[])["fields"][0]["delivered"], 10.0);
    assert_eq!(figures(&folder, &["--tons", "tare lb"])["fields"][0]["delivered"], 15.0);
}

#[test]
fn what_was_left_is_once_and_no_more_than_came() {
    let folder = planned();
    assert_eq!(
        refused(&folder, &["--left", "12 tons"]),
        "error: --left: found 12.00 tons left of \"job\", expected at most the 11.75 tons delivered; check the mass and its unit\n"
    );
    assert_eq!(
        refused(&folder, &["--left", "1 ton", "--left", "JOB=2 tons"]),
        "error: --left: found the field \"JOB\" twice, expected each field once; give their sum\n"
    );
}

#[test]
fn folders_count_once() {
    let folder = planned();
    let twice = ["reconcile", "plans/job", "plans/../plans/job/", "--tickets", "tickets.csv"];
    let said = folder.run(&[&twice[..], &["--season", "season.csv"]].concat());
    has(&said.out, "warning: plans/../plans/job/: the same folder as plans/job; counted once");
    assert_eq!(folder.read("season.csv").lines().count(), 2);
    fs::create_dir(folder.path().join("plans/all")).unwrap();
    folder.put("plans/all/farm.json", "{}");
    let both = ["reconcile", "plans/all", "plans/job", "--tickets", "tickets.csv"];
    has(&folder.run(&both).out, "warning: plans/all: passed over, it holds the farm and no field");
    assert_eq!(
        folder.run(&["reconcile", "plans/all", "--tickets", "tickets.csv"]).err,
        "error: plans/all: found no planned field, expected the folder of a field, such as plans/home-lane\n"
    );
    fs::create_dir(folder.path().join("plans/copy")).unwrap();
    for file in ["totals.json", "zones.geojson"] {
        folder.put(&format!("plans/copy/{file}"), folder.read(&format!("plans/job/{file}")));
    }
    let both = ["reconcile", "plans/copy", "plans/job", "--tickets", "tickets.csv"];
    assert_eq!(
        folder.run(&both).err,
        "error: plans/copy and plans/job: found the field \"job\" in both, expected each field once; give the folder that was spread by\n"
    );
}

#[test]
fn records_elsewhere_and_of_two_units() {
    let folder = planned();
    folder.put(
        "log.csv",
        "longitude,latitude,rate (ton/ac)\n40.4009,-85.1988,1\n40.4010,-85.1988,1\n",
    );
    assert_eq!(
        refused(&folder, &LOG),
        "error: log.csv: found all 2 rows off the zones of these fields, expected some on them; longitude and latitude have changed places: swap them\n"
    );
    folder.put("log.csv", "longitude,latitude,rate (ton/ac)\n-80,40,1\n");
    assert_eq!(
        refused(&folder, &LOG),
        "error: log.csv: found the one row off the zones of these fields, expected some on them; check the folders and the coordinate system\n"
    );
    assert_eq!(
        refused(&folder, &[&LOG[..], &["--unit", "lb/ac"]].concat()),
        "error: log.csv, column \"rate (ton/ac)\": found the unit \"ton/ac\" in the header and --unit \"lb/ac\", expected one unit; leave --unit out, or mend the header\n"
    );
}

/// What spreadsheets and editors make of a season says the same: nothing is added twice, and what
/// was there stays byte by byte.
#[test]
fn a_season_saved_by_another_program() {
    let folder = planned();
    let season = ["--season", "season.csv", "--left", "0.25 tons"];
    done(&folder, &season);
    let whole = folder.read("season.csv");
    let quoted = |line: &str| {
        let cells: Vec<String> = line.split(',').map(|cell| format!("\"{cell}\"")).collect();
        cells.join(",")
    };
    let all_quoted: Vec<String> = whole.lines().map(quoted).collect();
    for text in [
        format!("\u{feff}{whole}"),
        whole.replace('\n', "\r\n"),
        whole.replace(",11.50,", ",11.5,"),
        format!("{whole}\n\n,,,\n"),
        whole.trim_end().to_owned(),
        all_quoted.join("\r\n"),
    ] {
        folder.put("season.csv", &text);
        let out = done(&folder, &season);
        assert!(out.ends_with("season.csv: 0 rows added, 1 were in it already\n"), "{text}\n{out}");
        assert_eq!(folder.read("season.csv"), text);
        done(&folder, &["--season", "season.csv", "--left", "0.5 tons"]);
        let after = folder.read("season.csv");
        let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let added = after.strip_prefix(&text).unwrap();
        let added = if text.ends_with('\n') { added } else { added.strip_prefix(end).unwrap() };
        assert!(added.starts_with("job,2026-04-14,") && added.ends_with(end), "{added:?}");
        assert_eq!(added.matches('\n').count(), 1, "{added:?}");
    }
}

#[test]
fn a_season_that_says_something_else() {
    let folder = planned();
    let season = ["--season", "season.csv", "--left", "0.25 tons"];
    done(&folder, &season);
    let whole = folder.read("season.csv");
    let (head, row) = whole.split_once('\n').unwrap();
    for (text, expected) in [
        (
            whole.replace(',', ";"),
            "line 1: found semicolons between the cells, expected commas; save it as CSV with commas and decimal points",
        ),
        (
            format!("{head},notes\n{},wet\n", row.trim_end()),
            "line 1: found the column \"notes\", expected the 14 columns of a season.csv and no other; take it out, or keep it in another file",
        ),
        (
            whole.replace("2026-04-14", "4/14/2026"),
            "line 2: found \"4/14/2026\" as first_ticket, expected a day as year-month-day; another program has saved it in its own way",
        ),
        (
            whole.replace(",11.50,", ",\"11,50\","),
            "line 2: found \"11,50\" as spread_ton, expected a number with a decimal point; another program has saved it in its own way",
        ),
        (
            format!("{whole}job,2026-04-14\n"),
            "line 3: found 2 cells, expected 14, as the header has; mend it or take it out",
        ),
        (
            format!("{whole}\"job,2026-04-14\n"),
            "line 3: found a quote that is not closed, expected each row on a line of its own: mend it or take it out",
        ),
    ] {
        folder.put("season.csv", &text);
        assert_eq!(refused(&folder, &season), format!("error: season.csv, {expected}\n"));
        assert_eq!(folder.read("season.csv"), text);
    }
}

/// A field that nothing came to has no row.
#[test]
fn no_tickets_no_row() {
    let folder = planned();
    folder.put("tickets.csv", "date,field,tons\n");
    let out = done(&folder, &["--season", "season.csv"]);
    has(&out, "warning: job: no tickets and no record, so no row is added to season.csv");
    assert!(out.ends_with("season.csv: 0 rows added, 0 were in it already\n"), "{out}");
}
