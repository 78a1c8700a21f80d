//! Reading input files, with the sidecars that belong to them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use landplaster::read::Source;
use landplaster::read::taskdata::MAIN;

use super::failure::Failure;

/// A file's bytes; `what` it is for goes into the message.
pub fn bytes(what: &str, path: &Path) -> Result<Vec<u8>, Failure> {
    fs::read(path).map_err(|error| {
        let reason = match error.kind() {
            std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
            std::io::ErrorKind::IsADirectory => "this is a folder, expected a file".to_owned(),
            _ => error.to_string(),
        };
        Failure::Input(format!("{what} {}: {reason}; check the path", path.display()))
    })
}

/// A text file.
pub fn text(what: &str, path: &Path) -> Result<String, Failure> {
    utf8(what, path, bytes(what, path)?)
}

/// Bytes of a file as text.
pub fn utf8(what: &str, path: &Path, bytes: Vec<u8>) -> Result<String, Failure> {
    String::from_utf8(bytes).map_err(|_| {
        Failure::Input(format!(
            "{what} {}: found bytes that are not UTF-8, expected a text file",
            path.display()
        ))
    })
}

/// A file's name without its folder.
pub fn name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// A file's name without folder and ending.
pub fn stem(path: &Path) -> String {
    path.file_stem().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// An input with its sidecars; of a folder with task data its main file.
pub fn source(what: &str, path: &Path) -> Result<Source, Failure> {
    let main = path.is_dir().then(|| task_files(path)).and_then(|files| main_file(&files));
    let path = main.as_deref().unwrap_or(path);
    let bytes = bytes(what, path)?;
    let mut sidecars = BTreeMap::new();
    if name(path).eq_ignore_ascii_case(MAIN) {
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let others = task_files(folder).into_iter().filter(|file| name(file) != name(path));
        for file in others {
            sidecars.insert(name(&file), self::bytes(what, &file)?);
        }
    }
    for (extension, sidecar) in beside(path, Source::sidecar_extensions(&extension(path))) {
        sidecars.insert(extension, self::bytes(what, &sidecar)?);
    }
    Ok(Source { name: path.display().to_string(), bytes, sidecars })
}

/// The XML files of a folder with task data, sorted.
fn task_files(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| extension(path) == "xml" && path.is_file())
        .collect();
    files.sort();
    if main_file(&files).is_some() { files } else { Vec::new() }
}

fn main_file(files: &[PathBuf]) -> Option<PathBuf> {
    files.iter().find(|path| name(path).eq_ignore_ascii_case(MAIN)).cloned()
}

fn extension(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}

/// The sidecars next to a file, whatever the case of their extensions.
fn beside(path: &Path, wanted: &[&str]) -> Vec<(String, PathBuf)> {
    if wanted.is_empty() {
        return Vec::new();
    }
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut found: Vec<(String, PathBuf)> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|other| other.file_stem() == path.file_stem())
        .map(|other| (extension(&other), other))
        .filter(|(extension, _)| wanted.contains(&extension.as_str()))
        .collect();
    found.sort();
    found
}
