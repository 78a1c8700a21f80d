//! The first minutes: what is seen in a folder, what is written of it, and all faults at once.

use crate::folder::{FIELD, Folder, SAMPLES};

fn folder() -> Folder {
    let folder = Folder::empty();
    folder.put("home.geojson", FIELD).put("soil.csv", SAMPLES);
    folder
}

#[test]
fn a_job_is_written_of_what_is_there_and_plans_the_same() {
    let folder = folder();
    let said = folder.run(&["start"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("home.geojson: the boundary: one field"), "{}", said.out);
    assert!(said.out.contains("then: landplaster plan home.toml"), "{}", said.out);
    assert_eq!(folder.run(&["plan", "home.toml"]).code, 0);
    let line = ["plan", "--boundary", "home.geojson", "--samples", "soil.csv", "--out", "typed"];
    assert_eq!(folder.run(&line).code, 0);
    assert_eq!(folder.read("plans/home/zones.geojson"), folder.read("typed/home/zones.geojson"));
    let again = folder.run(&["start"]);
    assert_eq!(again.code, 2);
    assert!(
        again.err.contains("home.toml: there already, and nothing is overwritten"),
        "{}",
        again.err
    );
}

#[test]
fn plan_alone_says_what_to_type() {
    let folder = folder();
    let said = folder.run(&["plan"]);
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    let typed = "landplaster plan --boundary home.geojson --samples soil.csv";
    assert!(said.err.contains(typed), "{}", said.err);
    let empty = Folder::empty().run(&["plan"]);
    assert_eq!(empty.code, 2);
    assert!(
        empty.err.contains("This folder holds no file that landplaster reads."),
        "{}",
        empty.err
    );
    assert!(empty.err.contains("Missing: a boundary"), "{}", empty.err);
}

#[test]
fn a_machine_file_to_fill_in() {
    let folder = folder();
    assert_eq!(folder.run(&["start", "machine"]).code, 0);
    let said = folder.run(&["spreader", "machine.toml", "--rates", "1 ton/ac"]);
    assert_eq!(said.code, 2);
    // Every key that is needed, at once; those that are not are not asked for.
    assert!(said.err.contains("machine.swath: found nothing"), "{}", said.err);
    assert!(said.err.contains("material: found neither"), "{}", said.err);
    assert!(!said.err.contains("spinner_speed"), "{}", said.err);
    let filled = folder.read("machine.toml").replace("# ", "").replace("#\n", "\n");
    let keys = filled
        .lines()
        .filter(|line| line.starts_with('[') || line.contains(" = ") && !line.contains('`'));
    let keys: Vec<&str> = keys.filter(|line| !line.starts_with("bulk_density")).collect();
    folder.put("machine.toml", keys.join("\n"));
    let said = folder.run(&["spreader", "machine.toml", "--rates", "1 ton/ac"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert_eq!(folder.run(&["start", "machine"]).code, 2, "nothing is overwritten");
}

#[test]
fn what_most_people_change_is_typed() {
    let folder = folder();
    let line = ["plan", "--boundary", "home.geojson", "--samples", "soil.csv"];
    let tiers =
        ["--tier", "under 10: 1,000 lb/ac", "--tier", "10 and over: 1.5 T/A", "--swath", "50'"];
    let said = folder.run(&[line.as_slice(), &tiers].concat());
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    let totals: serde_json::Value =
        serde_json::from_str(&folder.read("plans/home/totals.json")).unwrap();
    let rates: Vec<f64> = totals["tiers"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|tier| tier["rate"].as_f64())
        .collect();
    assert_eq!(rates, [0.5, 1.5]);
    let said = folder.run(&[line.as_slice(), &["--tier", "under 10: 1 ton/ac"]].concat());
    assert_eq!(said.code, 2);
    assert!(said.err.contains("expected none for the highest tier"), "{}", said.err);
    let said = folder.run(&[line.as_slice(), &["--keep-out", "home.geojson=35"]].concat());
    assert_eq!(said.code, 2);
    assert!(said.err.contains("found no unit"), "{}", said.err);
}

#[test]
fn all_faults_of_a_job_are_told_at_once() {
    let folder = folder();
    let job = "boundary = \"home.geojson\"\nsamples = \"soil.csv\"\nswaht = \"60 ft\"\nmax_rate = \"2\"\n\n[surface]\ngrid = \"0.1 ft\"\n\n[zones]\nmin_zone = \"60 ac\"\n\n[[tier]]\nlabel = \"all\"\n";
    folder.put("job.toml", job);
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!(said.code, 2);
    for part in [
        "found 5 faults",
        "line 3: found unknown key \"swaht\"",
        "line 4: \"2\": found no unit",
        "line 12: found no \"rate\", expected one",
        "[surface] grid: found 0.10 ft",
        "[zones] min_zone: found 60.00 acres",
    ] {
        assert!(said.err.contains(part), "{part}: {}", said.err);
    }
}

/// A job that cannot be read is not passed over, as if there were none.
#[test]
fn a_broken_job_is_told_of() {
    let folder = Folder::with_job();
    folder.put("job.toml", "boundary = \"a\\North\"\nsamples = \"samples.csv\"\n");
    folder.put("old.toml", b"# M\xfcller\nboundary = \"field.geojson\"\n".as_slice());
    folder.put("machine.toml", "machine = \"spreader\"\n");
    let said = folder.run(&["plan"]);
    for expected in ["job.toml, line 1: ", "old.toml: found bytes that are not UTF-8"] {
        assert!(said.err.contains(expected), "{expected}: {}", said.err);
    }
    assert!(!said.err.contains("machine.toml"), "{}", said.err);
}
