//! `landplaster spreader` and `landplaster pans` as they are run, on the demo farm's files.

use crate::folder::{Folder, Said, demo};

fn run(folder: &Folder, words: &str) -> Said {
    let farm = demo("spreader");
    let words: Vec<String> =
        words.split('|').map(|word| word.replace('@', farm.to_str().unwrap())).collect();
    folder.run(&words.iter().map(String::as_str).collect::<Vec<_>>())
}

/// 1000 lb/ac at 6 mph on 40 ft: 1000 x 6 x 40 / 495 = 484.8 lb/min, by hand.
#[test]
fn the_setup_of_the_demo_machine() {
    let folder = Folder::empty();
    let said =
        run(&folder, "spreader|@/machine.toml|--rates|0.5 ton/ac,1 ton/ac,2 ton/ac|--out|set");
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("485 lb/min"), "{}", said.out);
    assert_eq!(folder.files_named("set"), ["setup.csv", "setup.txt"]);
    assert_eq!(folder.read("set/setup.txt"), said.out);
}

#[test]
fn rates_come_from_a_plan() {
    let folder = Folder::with_job();
    assert_eq!(folder.run(&["plan", "job.toml"]).code, 0);
    let said = run(&folder, "spreader|@/machine.toml|--totals|plans/job/totals.json");
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("CEC over 15"), "{}", said.out);
}

/// The log grows by each weigh test that is handed in, and the next run reads it.
#[test]
fn weigh_tests_are_kept() {
    let folder = Folder::empty();
    let rates = "spreader|@/machine.toml|--rates|1 ton/ac|--log|constants.csv";
    let said = run(&folder, &format!("{rates}|--weigh|@/weigh-tests.csv"));
    assert!(said.code == 0 && said.out.contains("4 weigh tests"), "{}{}", said.out, said.err);
    let again = run(&folder, rates);
    assert!(again.out.contains("4 weigh tests"), "{}{}", again.out, again.err);
}

#[test]
fn two_pan_tests_and_their_pictures() {
    let folder = Folder::empty();
    let said = run(&folder, "pans|@/pans-before.csv|@/pans-after.csv|--out|pans");
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("heavy edges") && said.out.contains("even"), "{}", said.out);
    let names = folder.files_named("pans");
    for name in ["pans-before-cv.png", "pans-before-pattern.svg", "pans-after.txt"] {
        assert!(names.iter().any(|other| other == name), "{name} is in {names:?}");
    }
    let twice = run(&folder, "pans|@/pans-before.csv|@/pans-before.csv|--out|pans");
    assert!(twice.code == 2 && twice.err.contains("both write pans-before.txt"), "{}", twice.err);
    let compared = run(&folder, "pans|compare|@/pans-before.csv|@/pans-after.csv");
    assert!(compared.code == 0 && compared.out.contains("better"), "{}", compared.out);
}

#[test]
fn bad_input_is_named() {
    let folder = Folder::empty();
    folder.put("pans.csv", "distance ft,catch g\n");
    let said = folder.run(&["pans", "pans.csv"]);
    assert!(said.code == 2 && said.err.starts_with("error: pans.csv"), "{}", said.err);
    let said = run(&folder, "spreader|@/machine.toml|--rates|1 bushel");
    assert!(said.code == 2 && said.err.contains("bushel"), "{}", said.err);
    let said = folder.run(&["spreader", "none.toml", "--rates", "1 ton/ac"]);
    assert!(said.code == 2 && said.err.contains("none.toml"), "{}", said.err);
    folder.put("set", "a file in the way");
    let said = run(&folder, "spreader|@/machine.toml|--rates|1 ton/ac|--out|set");
    assert_eq!(said.code, 1, "{}", said.err);
}
