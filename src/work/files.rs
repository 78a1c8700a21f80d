//! Where files come from.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::FileError;
use crate::read::Source;
use crate::read::taskdata::MAIN;

/// Gives files by their paths.
pub trait Files: Sync {
    /// A file's bytes.
    ///
    /// # Errors
    /// When there is no such file, or it cannot be read.
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, FileError>;

    /// The paths of the files in a folder; none where there is no such folder.
    fn folder(&self, path: &Path) -> Vec<PathBuf>;
}

/// Files in memory, by path.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Memory(BTreeMap<PathBuf, Vec<u8>>);

impl Memory {
    /// Puts in a file, in place of one with the same path.
    pub fn put(&mut self, path: impl Into<PathBuf>, bytes: impl Into<Vec<u8>>) -> &mut Self {
        self.0.insert(path.into(), bytes.into());
        self
    }
}

impl Files for Memory {
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, FileError> {
        self.0
            .get(path)
            .cloned()
            .ok_or_else(|| FileError::new("there is no such file; check the path"))
    }

    fn folder(&self, path: &Path) -> Vec<PathBuf> {
        self.0.keys().filter(|file| file.parent() == Some(path)).cloned().collect()
    }
}

/// A file's text; `what` it is for goes into the message.
///
/// # Errors
/// When there is no such file, or it is not UTF-8.
pub fn text(files: &dyn Files, what: &str, path: &Path) -> Result<String, FileError> {
    let bytes = files.bytes(path).map_err(|error| error.of(what, path))?;
    utf8(what, path, bytes)
}

/// Bytes of a file as text.
pub(super) fn utf8(what: &str, path: &Path, bytes: Vec<u8>) -> Result<String, FileError> {
    String::from_utf8(bytes).map_err(|_| {
        FileError::new("found bytes that are not UTF-8, expected a text file").of(what, path)
    })
}

/// An input with the sidecars that belong to it, of a folder with task data its main file; `what` it
/// is for goes into the message.
///
/// # Errors
/// When there is no such file, or it or a sidecar cannot be read.
pub fn source(files: &dyn Files, what: &str, path: &Path) -> Result<Source, FileError> {
    let main = files.folder(path).into_iter().find(|inner| is_main(inner));
    let path = main.as_deref().unwrap_or(path);
    let bytes = files.bytes(path).map_err(|error| error.of(what, path))?;
    let mut sidecars = BTreeMap::new();
    if is_main(path) {
        let beside = files.folder(path.parent().unwrap_or(Path::new("")));
        for other in beside.iter().filter(|other| extension(other) == "xml" && !is_main(other)) {
            let bytes = files.bytes(other).map_err(|error| error.of(what, other))?;
            sidecars.insert(name(other), bytes);
        }
    }
    for (extension, sidecar) in beside(files, path, Source::sidecar_extensions(&extension(path))) {
        let bytes = files.bytes(&sidecar).map_err(|error| error.of(what, &sidecar))?;
        sidecars.insert(extension, bytes);
    }
    Ok(Source { name: path.display().to_string(), bytes, sidecars })
}

/// A file's name without its folder.
#[must_use]
pub fn name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// A file's name without folder and ending.
#[must_use]
pub fn stem(path: &Path) -> String {
    path.file_stem().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// Whether a file is the main one of task data.
pub(super) fn is_main(path: &Path) -> bool {
    name(path).eq_ignore_ascii_case(MAIN)
}

pub(super) fn extension(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}

/// The sidecars next to a file, whatever the case of their extensions.
fn beside(files: &dyn Files, path: &Path, wanted: &[&str]) -> Vec<(String, PathBuf)> {
    if wanted.is_empty() {
        return Vec::new();
    }
    let inside = files.folder(path.parent().unwrap_or(Path::new("")));
    let mut found: Vec<(String, PathBuf)> = inside
        .into_iter()
        .filter(|other| other.file_stem() == path.file_stem())
        .map(|other| (extension(&other), other))
        .filter(|(extension, _)| wanted.contains(&extension.as_str()))
        .collect();
    found.sort();
    found
}
