//! Runs that are killed while they write, and runs at the same time.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use assert_cmd::cargo::cargo_bin;

use crate::folder::{Folder, SAMPLES};

const PLAN: [&str; 2] = ["plan", "job.toml"];

/// Killed as soon as the new folder stands beside the old one, or a moment later.
#[test]
fn kills_during_the_replacement() {
    let folder = Folder::with_job();
    let arguments = [&PLAN[..], &["--also", "taskdata"]].concat();
    let samples = [SAMPLES.to_owned(), SAMPLES.replace(",19", ",12")];
    let whole = samples.each_ref().map(|samples| {
        folder.put("samples.csv", samples);
        assert_eq!(folder.run(&arguments).code, 0);
        ours(&folder, "job")
    });
    let own = ["notes.txt", "TASKDATA/TLG00001.BIN"];
    for name in own {
        folder.put(&format!("plans/job/{name}"), name);
    }
    let (beside, mut seen) = (folder.path().join("plans/.job.new"), 0);
    for round in 0..100_u64 {
        folder.put("samples.csv", &samples[usize::try_from(round % 2).unwrap()]);
        let mut child = Command::new(cargo_bin("landplaster"))
            .current_dir(folder.path())
            .args(&arguments)
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        while !beside.exists() && child.try_wait().unwrap().is_none() {
            std::thread::yield_now();
        }
        std::thread::sleep(Duration::from_micros(round / 2 * 100));
        child.kill().unwrap();
        seen += u32::from(!child.wait().unwrap().success());
        // Where two folders cannot change places in one step, neither is there for a moment.
        let is_old_aside = || cfg!(windows) && whole.contains(&ours(&folder, ".job.old"));
        let is_whole = whole.contains(&ours(&folder, "job"));
        assert!(is_whole || is_old_aside(), "round {round}");
        for name in own {
            let places = ["job", ".job.new", ".job.old"]
                .map(|at| folder.path().join("plans").join(at).join(name));
            let found: Vec<_> = places.iter().flat_map(fs::read_to_string).collect();
            assert_eq!(found, [name], "round {round}");
        }
    }
    assert!(seen > 10, "{seen} runs were killed");
    assert_eq!(folder.run(&arguments).code, 0);
    assert_eq!(folder.files_named("plans"), [".landplaster.lock", "job"]);
    assert!(own.iter().all(|name| folder.read(&format!("plans/job/{name}")) == *name));
}

/// The program's files in a folder of the plans, with what they say.
fn ours(folder: &Folder, name: &str) -> Vec<(String, Vec<u8>)> {
    let at = folder.path().join("plans").join(name);
    let names = |at: &Path| {
        let entries = fs::read_dir(at).into_iter().flatten();
        entries.map(|entry| entry.unwrap().path()).filter(|path| path.is_file()).collect::<Vec<_>>()
    };
    let mut files: Vec<(String, Vec<u8>)> = [names(&at), names(&at.join("TASKDATA"))]
        .concat()
        .into_iter()
        .map(|path| {
            (path.strip_prefix(&at).unwrap().display().to_string(), fs::read(&path).unwrap())
        })
        .filter(|(name, _)| !name.ends_with("notes.txt") && !name.ends_with("TLG00001.BIN"))
        .collect();
    files.sort();
    files
}

#[test]
fn a_second_run_waits_and_says_so() {
    let folder = Folder::with_job();
    assert_eq!(folder.run(&PLAN).code, 0);
    let lock = fs::File::open(folder.path().join("plans/.landplaster.lock")).unwrap();
    lock.lock().unwrap();
    let mut child = Command::new(cargo_bin("landplaster"))
        .current_dir(folder.path())
        .args(PLAN)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stderr.take().unwrap()).read_line(&mut line).unwrap();
    assert_eq!(line, "Another run is writing plans; waiting for it.\n");
    assert_eq!(child.try_wait().unwrap(), None);
    drop(lock);
    assert_eq!(child.wait().unwrap().code(), Some(0));
}

#[test]
fn two_runs_at_once_leave_one_whole_folder() {
    let folder = Folder::with_job();
    assert_eq!(folder.run(&PLAN).code, 0);
    let before = folder.files("plans/job");
    std::thread::scope(|scope| {
        let runs: Vec<_> = (0..4).map(|_| scope.spawn(|| folder.run(&PLAN).code)).collect();
        assert!(runs.into_iter().all(|run| run.join().unwrap() == 0));
    });
    assert!(folder.files("plans/job") == before);
    assert_eq!(folder.files_named("plans"), [".landplaster.lock", "job"]);
}
