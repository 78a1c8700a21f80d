//! The crates that are built into the program, as cargo knows them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use crate::{Fault, process};

/// A crate.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Package {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Its licenses, as an SPDX expression.
    pub license: String,
    /// Where its source is from; none where it is this project.
    pub source: Option<String>,
    /// The folder with its source.
    pub folder: PathBuf,
}

/// The crates that are in the program for a target, the program's own among them, by name.
pub fn built_in(root: &Path, target: &str) -> Result<Vec<Package>, Fault> {
    let mut cargo = Command::new("cargo");
    cargo.current_dir(root).args(["metadata", "--format-version", "1", "--locked"]);
    let all: Value =
        serde_json::from_str(&process::said(cargo.args(["--filter-platform", target]))?)?;
    let text = |value: &Value, key: &str| value[key].as_str().unwrap_or_default().to_owned();
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let packages: BTreeMap<String, Value> =
        list(&all["packages"]).into_iter().map(|one| (text(&one, "id"), one)).collect();
    let nodes: BTreeMap<String, Value> =
        list(&all["resolve"]["nodes"]).into_iter().map(|one| (text(&one, "id"), one)).collect();
    let is_root = |one: &&Value| text(one, "name") == "landplaster";
    let first = packages.values().find(is_root).ok_or("cargo metadata: no landplaster")?;
    let (mut waiting, mut found) = (vec![text(first, "id")], BTreeSet::new());
    while let Some(id) = waiting.pop() {
        // What only tests or builds need, and macros, is in no program.
        let is_macro = |id: &String| {
            let targets = packages.get(id).map(|one| list(&one["targets"])).unwrap_or_default();
            targets.iter().any(|one| list(&one["kind"]).contains(&"proc-macro".into()))
        };
        if is_macro(&id) || !found.insert(id.clone()) {
            continue;
        }
        for needed in nodes.get(&id).map(|node| list(&node["deps"])).unwrap_or_default() {
            let kinds = list(&needed["dep_kinds"]);
            if kinds.iter().any(|kind| kind["kind"].is_null()) {
                waiting.push(text(&needed, "pkg"));
            }
        }
    }
    let mut built_in: Vec<Package> = found
        .iter()
        .filter_map(|id| packages.get(id))
        .map(|one| Package {
            name: text(one, "name"),
            version: text(one, "version"),
            license: text(one, "license"),
            source: one["source"].as_str().map(str::to_owned),
            folder: Path::new(&text(one, "manifest_path")).parent().unwrap_or(root).to_owned(),
        })
        .collect();
    built_in.sort();
    Ok(built_in)
}
