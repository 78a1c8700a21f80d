//! Reading input files, with the sidecars that belong to them.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use landplaster::read::Source;

use super::failure::Failure;
use super::kind::kind;

/// The most that an input may have, in bytes: far more than a field's boundary, soil test or season
/// of logs, and no more than a machine can hold many times over.
const MOST_BYTES: u64 = 256 << 20;

/// A file's bytes; `what` it is for goes into the message. Pipes and devices are refused: one may
/// never end, or never begin.
pub fn bytes(what: &str, path: &Path) -> Result<Vec<u8>, Failure> {
    let fault = |reason: &str| Failure::Input(format!("{what} {}: {reason}", path.display()));
    let unread = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => fault("there is no such file; check the path"),
        _ => fault(&format!("{error}; check the path")),
    };
    let found = fs::metadata(path).map_err(unread)?;
    if !found.is_file() {
        let found = kind(&found);
        return Err(fault(&format!("this is {found}, expected a file; check the path")));
    }
    let mut bytes = Vec::new();
    let file = fs::File::open(path).map_err(unread)?;
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(unread)?;
    if bytes.len() as u64 > MOST_BYTES {
        let most = MOST_BYTES >> 20;
        return Err(fault(&format!(
            "found more than {most} MB, expected at most that; cut the file down to the field"
        )));
    }
    Ok(bytes)
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

/// An input with its sidecars.
pub fn source(what: &str, path: &Path) -> Result<Source, Failure> {
    let bytes = bytes(what, path)?;
    let mut sidecars = BTreeMap::new();
    for (extension, sidecar) in beside(path, Source::sidecar_extensions(&extension(path))) {
        sidecars.insert(extension, self::bytes(what, &sidecar)?);
    }
    Ok(Source { name: path.display().to_string(), bytes, sidecars })
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
