//! What stands where the program writes: links, other people's folders, files of the user's. Nothing of
//! the user's is lost, and what fails changes nothing.

use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt, chown, symlink};
use std::os::unix::process::CommandExt;
use std::process::Command;

use assert_cmd::cargo::cargo_bin;

use crate::folder::{Folder, JOB, SAMPLES, demo};

const PLAN: [&str; 2] = ["plan", "job.toml"];
const MOVE: &str = "move it away, or choose another folder with --out";

/// Runs the program, which must not be able to write; gives the message.
fn unwritten(folder: &Folder, arguments: &[&str]) -> String {
    let said = folder.run(arguments);
    assert_eq!((said.code, said.out.as_str()), (1, ""), "{}", said.err);
    said.err
}

fn link(folder: &Folder, to: &str, at: &str) {
    let at = folder.path().join(at);
    let _ = fs::remove_file(&at);
    symlink(to, at).unwrap();
}

/// The folder's smallest job with a lock that leads to a file of the user's.
#[test]
fn locks_follow_no_link_and_empty_nothing() {
    let folder = Folder::with_job();
    fs::create_dir(folder.path().join("plans")).unwrap();
    folder.put("victim", "mine").put("plans/.landplaster.lock", "mine too");
    assert_eq!(folder.run(&PLAN).code, 0);
    assert_eq!(folder.read("plans/.landplaster.lock"), "mine too");
    let expected = |lock: &str| {
        format!(
            "error: {lock}: found a link, expected landplaster's own lock, an empty file, or nothing; remove it\n"
        )
    };
    link(&folder, "../victim", "plans/.landplaster.lock");
    assert_eq!(unwritten(&folder, &PLAN), expected("plans/.landplaster.lock"));
    link(&folder, "nowhere", "plans/.landplaster.lock");
    assert_eq!(unwritten(&folder, &PLAN), expected("plans/.landplaster.lock"));
    folder.put("tickets.csv", "date,field,tons\n2026-04-14,job,6.5\n");
    let reconcile =
        ["reconcile", "plans/job", "--tickets", "tickets.csv", "--season", "season.csv"];
    link(&folder, "victim", ".season.csv.lock");
    assert_eq!(unwritten(&folder, &reconcile), expected(".season.csv.lock"));
    let machine = demo("spreader/machine.toml").display().to_string();
    let tests = demo("spreader/weigh-tests.csv").display().to_string();
    let log = ["spreader", &machine, "--rates", "1 ton/ac", "--log", "log.csv", "--weigh", &tests];
    link(&folder, "victim", ".log.csv.lock");
    assert_eq!(unwritten(&folder, &log), expected(".log.csv.lock"));
    assert_eq!(folder.read("victim"), "mine");
    assert!(!folder.path().join("season.csv").exists() && !folder.path().join("log.csv").exists());
    for lock in ["plans/.landplaster.lock", ".season.csv.lock", ".log.csv.lock"] {
        fs::remove_file(folder.path().join(lock)).unwrap();
    }
    for arguments in [&PLAN[..], &reconcile, &log] {
        assert_eq!(folder.run(arguments).code, 0);
    }
}

/// A season that is a link stays one, with the rights that its file had.
#[test]
fn a_season_behind_a_link_is_added_to_where_it_is() {
    let folder = Folder::with_job();
    assert_eq!(folder.run(&PLAN).code, 0);
    folder.put("tickets.csv", "date,field,tons\n2026-04-14,job,6.5\n").put("real.csv", "");
    let real = folder.path().join("real.csv");
    fs::set_permissions(&real, fs::Permissions::from_mode(0o600)).unwrap();
    link(&folder, "real.csv", "season.csv");
    let reconcile =
        ["reconcile", "plans/job", "--tickets", "tickets.csv", "--season", "season.csv"];
    assert_eq!(folder.run(&reconcile).code, 0);
    assert!(fs::symlink_metadata(folder.path().join("season.csv")).unwrap().is_symlink());
    assert_eq!(folder.read("real.csv").lines().count(), 2);
    assert_eq!(real.metadata().unwrap().mode() & 0o777, 0o600);
    link(&folder, "nowhere", "season.csv");
    let said = unwritten(&folder, &reconcile);
    assert!(said.starts_with("error: season.csv: found a link that leads nowhere ("), "{said}");
}

/// A sheet's place is a link: nothing of the run is written.
#[test]
fn sheets_are_written_through_no_link() {
    let folder = Folder::empty();
    fs::create_dir(folder.path().join("set")).unwrap();
    folder.put("victim", "mine");
    link(&folder, "../victim", "set/setup.csv");
    let machine = demo("spreader/machine.toml").display().to_string();
    assert_eq!(
        unwritten(&folder, &["spreader", &machine, "--rates", "1 ton/ac", "--out", "set"]),
        "error: set/setup.csv: found a link, expected a file or nothing; move it away\n"
    );
    assert_eq!(folder.read("victim"), "mine");
    assert_eq!(folder.files_named("set"), ["setup.csv"]);
}

#[test]
fn a_job_folder_that_is_a_link_or_a_file_stays_so() {
    let folder = Folder::with_job();
    fs::create_dir_all(folder.path().join("plans")).unwrap();
    fs::create_dir(folder.path().join("elsewhere")).unwrap();
    folder.put("elsewhere/totals.csv", "mine");
    link(&folder, "../elsewhere", "plans/job");
    for _ in 0..2 {
        let told =
            format!("error: plans/job: found a link, expected a folder or nothing; {MOVE}\n");
        assert_eq!(unwritten(&folder, &PLAN), told);
    }
    assert_eq!(folder.read("elsewhere/totals.csv"), "mine");
    fs::remove_file(folder.path().join("plans/job")).unwrap();
    folder.put("plans/job", "mine");
    for _ in 0..2 {
        let told =
            format!("error: plans/job: found a file, expected a folder or nothing; {MOVE}\n");
        assert_eq!(unwritten(&folder, &PLAN), told);
    }
    assert_eq!(folder.read("plans/job"), "mine");
    fs::remove_file(folder.path().join("plans/job")).unwrap();
    assert_eq!(folder.run(&PLAN).code, 0);
    assert_eq!(folder.files_named("plans"), [".landplaster.lock", "job"]);
}

/// In a farm it is one field's failure; the exit code says that it is not the input's.
#[test]
fn one_field_of_a_farm_that_cannot_be_written() {
    let folder = Folder::with_job();
    folder.put("a.toml", JOB).put("farm.toml", "farm = \"F\"\njobs = [\"job.toml\", \"a.toml\"]\n");
    fs::create_dir(folder.path().join("plans")).unwrap();
    folder.put("plans/job", "mine");
    let said = folder.run(&["plan", "farm.toml"]);
    assert_eq!(said.code, 1);
    assert!(
        said.out.starts_with("F: 2 fields, 1 planned, 0 unchanged since the last run, 1 failed")
    );
    assert!(said.err.contains("  job.toml: plans/job: found a file, expected a folder"));
    assert!(folder.path().join("plans/a/zones.shp").exists());
}

/// What a controller or the user puts beside the task stays, whether the next run writes one or not.
#[test]
fn own_files_among_task_data_stay() {
    let folder = Folder::with_job();
    let with = [&PLAN[..], &["--also", "taskdata"]].concat();
    assert_eq!(folder.run(&with).code, 0);
    folder.put("plans/job/TASKDATA/TLG00001.BIN", "log").put("plans/job/notes.txt", "mine");
    assert_eq!(folder.run(&with).code, 0);
    assert_eq!(folder.files_named("plans/job/TASKDATA"), ["TASKDATA.XML", "TLG00001.BIN"]);
    assert_eq!(folder.run(&PLAN).code, 0);
    assert_eq!(folder.files_named("plans/job/TASKDATA"), ["TLG00001.BIN"]);
    assert_eq!(folder.read("plans/job/TASKDATA/TLG00001.BIN"), "log");
    fs::remove_file(folder.path().join("plans/job/TASKDATA/TLG00001.BIN")).unwrap();
    assert_eq!(folder.run(&PLAN).code, 0);
    assert!(!folder.path().join("plans/job/TASKDATA").exists());
    assert_eq!(folder.read("plans/job/notes.txt"), "mine");
}

/// As root there is no folder that cannot be written, so the program runs as somebody else; as
/// anybody else there is nobody to run it as, and nothing is tested.
#[test]
fn folders_without_the_right_to_write() {
    let folder = Folder::with_job();
    if folder.path().metadata().unwrap().uid() != 0 {
        return;
    }
    let somebody = 65_534;
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    let program = folder.path().join("program");
    fs::copy(cargo_bin("landplaster"), &program).unwrap();
    fs::create_dir(folder.path().join("plans")).unwrap();
    let plans = folder.path().join("plans");
    chown(&plans, Some(somebody), Some(somebody)).unwrap();
    let run = || {
        let mut command = Command::new(&program);
        command.current_dir(folder.path()).args(PLAN).uid(somebody).gid(somebody);
        let output = command.output().unwrap();
        (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    assert_eq!(run(), (0, String::new()));
    let place = plans.join("job");
    let before = folder.files("plans/job");
    let mode = |mode: u32| fs::set_permissions(&place, fs::Permissions::from_mode(mode)).unwrap();
    folder.put("samples.csv", SAMPLES.replace(",19", ",12"));
    mode(0o555);
    for _ in 0..2 {
        let (code, said) = run();
        assert_eq!(code, 1, "{said}");
        assert!(
            said.starts_with("error: plans/job: cannot be written (Permission denied"),
            "{said}"
        );
        assert!(folder.files("plans/job") == before);
        assert_eq!(folder.files_named("plans"), [".landplaster.lock", "job"]);
    }
    mode(0o755);
    // A folder of somebody else's in it cannot be moved over; a file of the user's can, and is back.
    fs::write(place.join("a-note.txt"), "mine").unwrap();
    fs::create_dir(place.join("photos")).unwrap();
    for _ in 0..2 {
        let (code, said) = run();
        assert_eq!(code, 1, "{said}");
        let told =
            "error: plans/job/photos: found a file or folder of yours that cannot be moved (";
        assert!(said.starts_with(told), "{said}");
        assert_eq!(folder.read("plans/job/a-note.txt"), "mine");
        assert_eq!(folder.files_named("plans"), [".landplaster.lock", "job"]);
    }
    chown(place.join("photos"), Some(somebody), None).unwrap();
    assert_eq!(run(), (0, String::new()));
    assert!(place.join("photos").is_dir() && place.join("a-note.txt").is_file());
    chown(&place, Some(0), None).unwrap();
    mode(0o777);
    let told = format!(
        "error: plans/job: found a folder of another user, expected one of yours; {MOVE}\n"
    );
    assert_eq!(run(), (1, told));
}
