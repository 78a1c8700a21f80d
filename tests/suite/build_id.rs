//! The build id: the same for the same sources, another for others.

use std::fs;

use crate::folder::Folder;

#[path = "../../build/id.rs"]
mod id;

fn sources(changed: &[(&str, &str)]) -> Folder {
    let folder = Folder::empty();
    let files = [("Cargo.toml", "[package]"), ("src/lib.rs", "mod a;"), ("src/a/mod.rs", "")];
    for (name, content) in files.iter().chain(changed) {
        fs::create_dir_all(folder.path().join(name).parent().unwrap()).unwrap();
        folder.put(name, content);
    }
    folder
}

fn of(folder: &Folder) -> String {
    id::of(folder.path(), &["x86_64".to_owned()]).unwrap()
}

#[test]
fn it_is_of_the_sources_and_of_nothing_else() {
    let usual = of(&sources(&[]));
    assert_eq!(usual.len(), 16);
    assert_eq!(of(&sources(&[])), usual, "in another folder, at another time");
    assert_eq!(of(&sources(&[("target/release/a", "x"), ("tests/a.rs", "x")])), usual);
    for changed in [
        ("src/lib.rs", "mod b;"),
        ("src/a/mod.rs", " "),
        ("src/a/b.rs", ""),
        ("Cargo.lock", "version = 4"),
    ] {
        assert_ne!(of(&sources(&[changed])), usual, "{changed:?}");
    }
    let other = id::of(sources(&[]).path(), &["wasm32".to_owned()]).unwrap();
    assert_ne!(other, usual, "for another machine");
}

#[test]
fn the_program_knows_its_own() {
    let folder = Folder::with_job();
    folder.put("farm.toml", "farm = \"Home Farm\"\njobs = [\"job.toml\"]\n");
    assert_eq!(folder.run(&["plan", "farm.toml"]).code, 0);
    let inputs: serde_json::Value =
        serde_json::from_str(&folder.read("plans/job/inputs.json")).unwrap();
    let written = inputs["program"].as_str().unwrap();
    assert!(written.ends_with(&format!("build {})", env!("LANDPLASTER_BUILD"))), "{written}");
}

/// A folder that another build made is made again, though the version is the same.
#[test]
fn what_another_build_made_is_made_again() {
    let folder = Folder::with_job();
    folder.put("farm.toml", "farm = \"Home Farm\"\njobs = [\"job.toml\"]\n");
    let run = || folder.run(&["plan", "farm.toml"]).out;
    assert!(run().contains("1 planned"));
    assert!(run().contains("1 unchanged"));
    let inputs = folder.read("plans/job/inputs.json");
    let other = inputs.replace(env!("LANDPLASTER_BUILD"), "0123456789abcdef");
    assert_ne!(other, inputs);
    folder.put("plans/job/inputs.json", other);
    assert!(run().contains("1 planned"));
    assert_eq!(folder.read("plans/job/inputs.json"), inputs);
}
