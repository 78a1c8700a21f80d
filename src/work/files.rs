//! Where files come from.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::FileError;
use crate::path_text::shown;
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
/// When there is no such file, or it is neither UTF-8 nor UTF-16.
pub fn text(files: &dyn Files, what: &str, path: &Path) -> Result<String, FileError> {
    let bytes = files.bytes(path).map_err(|error| error.of(what, path))?;
    unicode(what, path, bytes)
}

/// Bytes of a file as text: UTF-8, or UTF-16 with the mark before it by which it is known, as editors
/// on Windows write it.
pub(super) fn unicode(what: &str, path: &Path, bytes: Vec<u8>) -> Result<String, FileError> {
    let unit: Option<fn([u8; 2]) -> u16> = match bytes.as_slice() {
        [0xff, 0xfe, ..] => Some(u16::from_le_bytes),
        [0xfe, 0xff, ..] => Some(u16::from_be_bytes),
        _ => None,
    };
    let text = match unit {
        None => String::from_utf8(bytes).ok(),
        Some(unit) => {
            let (pairs, odd) = bytes.as_chunks::<2>();
            let units: Vec<u16> = pairs.iter().skip(1).map(|&pair| unit(pair)).collect();
            String::from_utf16(&units).ok().filter(|_| odd.is_empty())
        }
    };
    text.ok_or_else(|| {
        let expected = "a text file; save it as UTF-8";
        FileError::new(&format!("found bytes that are not UTF-8, expected {expected}"))
            .of(what, path)
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
    Ok(Source { name: shown(path), bytes, sidecars })
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
