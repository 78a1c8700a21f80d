//! The environment and the folders around a run change nothing in its coordinates: PROJ's database
//! is the one inside the program, and its settings are the program's own.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use assert_cmd::Command;

use crate::folder::{Folder, demo};

/// Every file of a plan's folder.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            found.extend(
                files(&path).into_iter().map(|(file, bytes)| (format!("{name}/{file}"), bytes)),
            );
        } else {
            found.insert(name, fs::read(&path).unwrap());
        }
    }
    found
}

/// The State Plane field of the demo farm, planned from a folder with these variables alone.
fn planned(folder: &Path, variables: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
    let out = tempfile::tempdir().unwrap();
    // Without these no program starts on Windows, or finds its libraries under Wine.
    let needed =
        |name: &str| ["PATH", "SYSTEMROOT"].iter().any(|needed| name.eq_ignore_ascii_case(needed));
    let started_by = std::env::vars().filter(|(name, _)| cfg!(windows) && needed(name));
    let made = Command::cargo_bin("landplaster")
        .unwrap()
        .env_clear()
        .envs(started_by)
        .envs(variables.iter().copied())
        .current_dir(folder)
        .args(["plan", demo("home-lane.toml").to_str().unwrap(), "--out"])
        .arg(out.path())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&made.stderr);
    assert!(made.status.success() && said.is_empty(), "{variables:?}: {said}");
    files(&out.path().join("home-lane"))
}

#[test]
fn proj_heeds_no_variable_and_no_file() {
    let plain = planned(Folder::empty().path(), &[]);
    assert!(plain.contains_key("zones.geojson"));
    // Where PROJ would look: the folder it runs in, the ones that variables name, and the user's.
    let traps = Folder::empty();
    for place in ["", "share/proj/", ".local/share/proj/", "proj/"] {
        fs::create_dir_all(traps.path().join(place)).unwrap();
        traps.put(&format!("{place}proj.db"), "no database");
        traps.put(&format!("{place}proj.ini"), "[general]\nnetwork = on\nonly_best_default = on\n");
    }
    let home = traps.path().to_str().unwrap();
    let data = format!("{home}/share/proj");
    let beside = format!("{home}/proj.db");
    for variables in [
        vec![("PROJ_NETWORK", "ON")],
        vec![("PROJ_ONLY_BEST_DEFAULT", "YES")],
        vec![("PROJ_AUX_DB", beside.as_str())],
        vec![("PROJ_DATA", data.as_str())],
        vec![("PROJ_LIB", data.as_str())],
        vec![("HOME", home), ("XDG_DATA_HOME", home), ("PROJ_USER_WRITABLE_DIRECTORY", &data)],
        vec![("PROJ_DEBUG", "3"), ("PROJ_USE_PROJ4_INIT_RULES", "YES")],
    ] {
        assert!(planned(traps.path(), &variables) == plain, "{variables:?}");
    }
}
