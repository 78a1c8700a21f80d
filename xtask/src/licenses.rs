//! The licenses of all that is in the program, with their texts as their authors ship them.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::io::Read as _;
use std::path::Path;

use flate2::read::GzDecoder;

use crate::Fault;
use crate::packages::Package;
use crate::platform::Library;

/// How deep a license may lie in a crate's folder: under a C library's source.
const DEEP: usize = 4;
const LINE: &str = "------------------------------------------------------------------------\n";
const SQLITE: &str = "SQLite is in the public domain (https://sqlite.org/copyright.html).\n";

/// One text: who has which license, then each license once.
pub fn of_all(packages: &[Package], libraries: &[Library]) -> Result<String, Fault> {
    let mut list = String::from("What is in this program, and the licenses of each.\n\n");
    let mut texts: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for package in packages {
        let Package { name, version, license, folder, .. } = package;
        writeln!(list, "{name} {version}: {license}")?;
        let who = format!("{name} {version}");
        let mut found = Vec::new();
        gather(folder, 0, &mut found)?;
        for text in found {
            texts.entry(text).or_default().push(who.clone());
        }
        match name.as_str() {
            "proj-sys" => texts
                .entry(copying(folder)?)
                .or_default()
                .push("PROJ, with its database".to_owned()),
            "libsqlite3-sys" => {
                texts.entry(SQLITE.to_owned()).or_default().push("SQLite".to_owned());
            }
            _ => {}
        }
    }
    for Library { name, package, license } in libraries {
        writeln!(list, "{name}: {license}")?;
        let text = text(&format!("/usr/share/doc/{package}/copyright"))?;
        for common in common(&text)? {
            texts.entry(common).or_default().push((*name).to_owned());
        }
        texts.entry(text).or_default().push((*name).to_owned());
    }
    writeln!(list, "Rust's standard library: MIT OR Apache-2.0, whose texts are below")?;
    let mut ordered: Vec<(&Vec<String>, &String)> =
        texts.iter().map(|(text, who)| (who, text)).collect();
    ordered.sort();
    for (who, text) in ordered {
        write!(list, "\n{LINE}{}\n{LINE}\n{}\n", who.join(", "), text.trim_end())?;
    }
    Ok(list)
}

fn text(file: &str) -> Result<String, Fault> {
    Ok(fs::read_to_string(file).map_err(|error| format!("{file}: {error}"))?)
}

/// The licenses that Debian's text only points to, for they are on every Debian.
fn common(text_of_it: &str) -> Result<BTreeSet<String>, Fault> {
    const FOLDER: &str = "/usr/share/common-licenses/";
    let names = text_of_it.split(FOLDER).skip(1);
    let is_in_a_name = |letter: char| letter.is_alphanumeric() || "-.".contains(letter);
    let names = names.map(|rest| rest.split(|letter| !is_in_a_name(letter)).next().unwrap_or(""));
    let names: BTreeSet<&str> = names.map(|name| name.trim_end_matches('.')).collect();
    names
        .into_iter()
        .filter(|name| !name.is_empty())
        .map(|name| text(&format!("{FOLDER}{name}")))
        .collect()
}

/// The texts of files that are named as licenses are.
fn gather(folder: &Path, depth: usize, found: &mut Vec<String>) -> Result<(), Fault> {
    let mut entries = fs::read_dir(folder)?.collect::<Result<Vec<_>, _>>()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let name = entry.file_name().to_string_lossy().to_uppercase();
        let is_license = ["LICENSE", "LICENCE", "COPYING", "COPYRIGHT", "NOTICE", "UNLICENSE"]
            .iter()
            .any(|start| name.starts_with(start));
        let kind = entry.file_type()?;
        let is_code = Path::new(&name).extension().is_some_and(|ending| ending == "RS");
        if kind.is_file() && is_license && !is_code {
            found.push(String::from_utf8_lossy(&fs::read(entry.path())?).replace("\r\n", "\n"));
        } else if kind.is_dir()
            && depth < DEEP
            && !["TARGET", ".GIT", "XTASK", "FUZZ", "TESTS"].contains(&name.as_str())
        {
            gather(&entry.path(), depth + 1, found)?;
        }
    }
    Ok(())
}

/// PROJ's own, out of the archive that its crate carries.
fn copying(folder: &Path) -> Result<String, Fault> {
    for entry in fs::read_dir(folder.join("PROJSRC"))? {
        let path = entry?.path();
        if path.extension().is_none_or(|ending| ending != "gz") {
            continue;
        }
        let mut archive = tar::Archive::new(GzDecoder::new(fs::File::open(&path)?));
        for file in archive.entries()? {
            let mut file = file?;
            if file.path()?.components().count() == 2 && file.path()?.ends_with("COPYING") {
                let mut text = String::new();
                file.read_to_string(&mut text)?;
                return Ok(text);
            }
        }
    }
    Err(format!("{}: found no COPYING of PROJ in PROJSRC", folder.display()).into())
}
