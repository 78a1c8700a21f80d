//! The import table of DEVELOPERS.md, held against the code.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// What each room may import, from the table: `| room | holds | may import |`.
fn table() -> BTreeMap<String, BTreeSet<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let names = |cell: &str| -> BTreeSet<String> {
        cell.split('`')
            .skip(1)
            .step_by(2)
            .map(|name| name.trim_end_matches('/').to_owned())
            .collect()
    };
    let rows = text.lines().skip_while(|line| !line.starts_with("| room")).skip(2);
    rows.take_while(|line| line.starts_with('|'))
        .map(|line| {
            let cells: Vec<&str> = line.trim_matches('|').split('|').collect();
            let room = names(cells[0]).into_iter().next().expect("a room in backticks");
            (room, names(cells[2]))
        })
        .collect()
}

/// Whether a file holds tests alone; they may look into any room.
fn is_a_test(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default();
    ["tests.rs", "bad_inputs.rs", "mutations.rs"].iter().any(|tests| name == *tests)
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") && !is_a_test(&path) {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The room that a file belongs to: its folder, or its own name, under `src/`.
fn room(path: &Path) -> String {
    let inner = path.strip_prefix(root().join("src")).unwrap();
    inner
        .components()
        .next()
        .unwrap()
        .as_os_str()
        .to_string_lossy()
        .trim_end_matches(".rs")
        .to_owned()
}

/// The lines of code: comments and what follows `#[cfg(test)]` left out.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    let shipped = text.split("#[cfg(test)]\nmod tests").next().unwrap_or("");
    shipped
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect::<Vec<_>>()
        .join("\n")
}

/// The rooms that a file names after `prefix`.
fn rooms_named(text: &str, prefix: &str) -> BTreeSet<String> {
    let word = |rest: &str| {
        let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len());
        rest[..end].to_owned()
    };
    text.split(prefix).skip(1).map(word).filter(|name| !name.is_empty()).collect()
}

#[test]
fn rooms_import_only_what_the_table_says() {
    let table = table();
    let mut used: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for path in sources(&root().join("src")) {
        let room = room(&path);
        if ["lib", "main", "cli"].contains(&room.as_str()) {
            continue;
        }
        let allowed = table.get(&room).unwrap_or_else(|| panic!("{room} is not in the table"));
        for import in rooms_named(&code(&path), "crate::") {
            if import != room {
                assert!(allowed.contains(&import), "{}: imports {import}", path.display());
                used.entry(room.clone()).or_default().insert(import);
            }
        }
    }
    for (room, allowed) in &table {
        let used = used.get(room).cloned().unwrap_or_default();
        let idle: Vec<&String> = allowed.difference(&used).collect();
        assert!(idle.is_empty(), "{room} does not import {idle:?}: the table allows too much");
    }
}

#[test]
fn only_the_command_line_touches_files_or_prints() {
    for path in sources(&root().join("src")) {
        // The library reads the disk in one file, for whoever has files there.
        if ["cli", "main"].contains(&room(&path).as_str()) || path.ends_with("work/disk.rs") {
            continue;
        }
        for word in ["std::fs", "std::env", "std::time", "std::net", "println!", "eprintln!"] {
            assert!(!code(&path).contains(word), "{}: {word}", path.display());
        }
    }
}

#[test]
fn formats_do_not_import_each_other() {
    for side in ["read", "write"] {
        let other = if side == "read" { "write" } else { "read" };
        for path in sources(&root().join("src").join(side)) {
            assert!(!rooms_named(&code(&path), "crate::").contains(other), "{}", path.display());
        }
    }
}
