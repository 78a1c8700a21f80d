//! The import table of DEVELOPERS.md, held against the code, and modules that import no circle.

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

/// The names that a file gives after `prefix`, those of a list in braces too.
fn named(text: &str, prefix: &str) -> BTreeSet<String> {
    text.split(prefix)
        .skip(1)
        .flat_map(expanded)
        .filter_map(|path| path.into_iter().next())
        .collect()
}

/// The paths that a path with lists stands for: `a::b` is itself; `{a, b::{c, d}}` is `a`, `b::c` and
/// `b::d`.
fn expanded(path: &str) -> Vec<Vec<String>> {
    let path = path.trim_start();
    if let Some(list) = path.strip_prefix('{') {
        return items(list).into_iter().flat_map(expanded).collect();
    }
    let end = path.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(path.len());
    let (name, rest) = path.split_at(end);
    if name.is_empty() {
        return Vec::new();
    }
    let further = rest.strip_prefix("::").map(expanded).unwrap_or_default();
    let further = if further.is_empty() { vec![Vec::new()] } else { further };
    let whole = |rest: Vec<String>| std::iter::once(name.to_owned()).chain(rest).collect();
    further.into_iter().map(whole).collect()
}

/// The items of a list, up to the brace that closes it.
fn items(list: &str) -> Vec<&str> {
    let (mut found, mut depth, mut start) = (Vec::new(), 0, 0);
    for (at, letter) in list.char_indices() {
        match letter {
            ',' | '}' if depth == 0 => {
                found.push(&list[start..at]);
                start = at + 1;
                if letter == '}' {
                    return found;
                }
            }
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
    }
    found
}

/// A module by the names on the way to it: `src/a/b.rs` is `a`, `b`.
fn module(path: &Path) -> Vec<String> {
    let inner = path.strip_prefix(root().join("src")).unwrap().with_extension("");
    let names = inner.iter().map(|name| name.to_string_lossy().into_owned());
    names.filter(|name| !["mod", "lib", "main"].contains(&name.as_str())).collect()
}

/// The modules that each module takes something from, through what others hand on.
fn imports() -> BTreeMap<Vec<String>, BTreeSet<Vec<String>>> {
    let files: BTreeMap<Vec<String>, String> =
        sources(&root().join("src")).iter().map(|path| (module(path), code(path))).collect();
    // What a module hands on of its children, by name.
    let handed_on: BTreeMap<&Vec<String>, BTreeMap<String, Vec<String>>> = files
        .iter()
        .map(|(of, text)| {
            let uses = text.split("use ").skip(1).flat_map(expanded);
            let children =
                uses.filter(|path| path.len() > 1 && files.contains_key(&joined(of, &path[..1])));
            (of, children.map(|path| (path[path.len() - 1].clone(), joined(of, &path))).collect())
        })
        .collect();
    let lands_in = |path: &[String]| {
        let mut path = path.to_vec();
        loop {
            let known =
                (0..=path.len()).rev().find(|&end| files.contains_key(&path[..end])).unwrap();
            let next =
                path.get(known).and_then(|name| handed_on[&path[..known].to_vec()].get(name));
            match next {
                Some(next) if *next != path => path.clone_from(next),
                _ => return path[..known].to_vec(),
            }
        }
    };
    let of = |module: &Vec<String>, text: &str| -> BTreeSet<Vec<String>> {
        let mut found = BTreeSet::new();
        for (prefix, base) in
            [("crate::", &[][..]), ("super::", &module[..module.len().saturating_sub(1)])]
        {
            for (at, _) in text.match_indices(prefix) {
                if text[..at].ends_with("super::") {
                    continue;
                }
                for path in expanded(&text[at + prefix.len()..]) {
                    let up = path.iter().take_while(|name| *name == "super").count();
                    found.insert(lands_in(&joined(
                        &base[..base.len().saturating_sub(up)],
                        &path[up..],
                    )));
                }
            }
        }
        found
    };
    files.iter().map(|(module, text)| (module.clone(), of(module, text))).collect()
}

fn joined(base: &[String], path: &[String]) -> Vec<String> {
    base.iter().chain(path).filter(|name| *name != "self").cloned().collect()
}

#[test]
fn no_module_imports_itself_through_others() {
    let mut imports = imports();
    // What a module has of those that it holds, and they of it, is no circle.
    for (module, from) in &mut imports {
        from.retain(|other| !other.starts_with(module) && !module.starts_with(other));
    }
    while let Some(done) =
        imports.iter().find(|(_, from)| from.is_empty()).map(|(done, _)| done.clone())
    {
        imports.remove(&done);
        for from in imports.values_mut() {
            from.remove(&done);
        }
    }
    let circles: Vec<String> = imports
        .iter()
        .map(|(module, from)| {
            let from: Vec<String> = from.iter().map(|other| other.join("::")).collect();
            format!("{} imports {}", module.join("::"), from.join(", "))
        })
        .collect();
    assert!(circles.is_empty(), "circles, or on the way to one: {circles:#?}");
}

#[test]
fn names_are_found_in_lists_too() {
    let names = |text, prefix| named(text, prefix).into_iter().collect::<Vec<_>>().join(" ");
    assert_eq!(names("use crate::soil::Tier;\ncrate::units::count(1)", "crate::"), "soil units");
    let list = "use crate::{\n    read::{self, Source},\n    soil::Tier,\n    units,\n};\nmod x {}";
    assert_eq!(names(list, "crate::"), "read soil units");
    assert_eq!(names("use std::{env, fs};", "std::"), "env fs");
    assert_eq!(names("use std::{fmt, io::{self, Write}};", "std::"), "fmt io");
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
        for import in named(&code(&path), "crate::") {
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
        let code = code(&path);
        // PROJ reads the environment, which is to be undone.
        let undone = path.ends_with("projection/proj.rs").then_some("env");
        for module in named(&code, "std::") {
            if undone == Some(module.as_str()) {
                continue;
            }
            let outside = ["fs", "env", "time", "net", "process"].contains(&module.as_str());
            assert!(!outside, "{}: std::{module}", path.display());
        }
        // `eprint!` and both with a new line have it too.
        assert!(!code.contains("print!") && !code.contains("println!"), "{}", path.display());
    }
}

#[test]
fn formats_do_not_import_each_other() {
    for side in ["read", "write"] {
        let other = if side == "read" { "write" } else { "read" };
        for path in sources(&root().join("src").join(side)) {
            assert!(!named(&code(&path), "crate::").contains(other), "{}", path.display());
        }
    }
}

/// The C library of each system has its own last digit of these, and the outputs are to be the same
/// bytes on all: the crate `libm` has them.
#[test]
fn functions_are_not_the_systems() {
    let functions = [
        "sin", "cos", "tan", "sin_cos", "asin", "acos", "atan", "atan2", "sinh", "cosh", "tanh",
        "asinh", "acosh", "atanh", "exp", "exp2", "exp_m1", "ln", "ln_1p", "log", "log2", "log10",
        "powf", "cbrt", "hypot",
    ];
    for path in sources(&root().join("src")) {
        let code = code(&path);
        let found = functions.iter().find(|name| code.contains(&format!(".{name}(")));
        // What the kernels are held against, in tests.
        let is_held_against = path.ends_with("surface/brute_force.rs");
        assert!(
            found.is_none() || is_held_against,
            "{}: {found:?}, which libm has",
            path.display()
        );
    }
}
