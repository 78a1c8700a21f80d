//! The one folder that a page reads and writes in.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use landplaster::file_name;
use landplaster::path_text::shown;
use landplaster::work::{Disk, FileError, Files};

use crate::cli::failure::Failure;

/// A folder, with where it really is.
#[derive(Clone, Debug)]
pub struct OpenedFolder {
    /// As it was typed, with which paths in messages and plans begin; empty for the one that the
    /// command runs in.
    pub shown: PathBuf,
    /// Where it really is.
    pub real: PathBuf,
}

/// The files of a folder, and those that are held for it and not on the disk yet.
pub struct Inside<'a> {
    folder: &'a OpenedFolder,
    held: BTreeMap<PathBuf, &'a [u8]>,
}

impl OpenedFolder {
    /// Opens a folder.
    pub fn open(folder: &Path) -> Result<Self, Failure> {
        let typed = if folder == Path::new(".") { Path::new("") } else { folder };
        let place = if typed.as_os_str().is_empty() { Path::new(".") } else { typed };
        let real = fs::canonicalize(place).map_err(|error| {
            let place = shown(place);
            Failure::Input(format!("{place}: cannot be opened ({error}); check the path"))
        })?;
        Ok(Self { shown: typed.to_owned(), real })
    }

    /// A place in it, by a name that is no path.
    pub fn place(&self, name: &str) -> PathBuf {
        self.shown.join(name)
    }

    /// Where a place really is, if that is in the folder: links are judged by where they lead. Of what
    /// is not there yet, its folder is.
    pub fn inside(&self, place: &Path) -> Result<PathBuf, FileError> {
        let outside = || {
            FileError::new(
                "leads out of the folder that the page opened; open the folder above both",
            )
        };
        let there = if place.as_os_str().is_empty() { Path::new(".") } else { place };
        let real = match fs::canonicalize(there) {
            Ok(real) => real,
            Err(_) if fs::symlink_metadata(there).is_ok() => return Err(outside()),
            Err(_) => {
                let missing = || FileError::new("there is no such file; check the path");
                let parent = there.parent().unwrap_or(Path::new(""));
                let parent = if parent.as_os_str().is_empty() { Path::new(".") } else { parent };
                let name = there.file_name().ok_or_else(missing)?;
                fs::canonicalize(parent).map_err(|_| missing())?.join(name)
            }
        };
        if real.starts_with(&self.real) { Ok(real) } else { Err(outside()) }
    }

    /// Its files, with some that are held for it.
    pub fn with<'a>(&'a self, held: impl IntoIterator<Item = (PathBuf, &'a [u8])>) -> Inside<'a> {
        Inside { folder: self, held: held.into_iter().collect() }
    }
}

impl Files for Inside<'_> {
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, FileError> {
        if let Some(bytes) = self.held.get(path) {
            return Ok(bytes.to_vec());
        }
        Disk.bytes(&self.folder.inside(path)?)
    }

    fn folder(&self, path: &Path) -> Vec<PathBuf> {
        let there = self.folder.inside(path).is_ok();
        let mut all = if there { Disk.folder(path) } else { Vec::new() };
        let held =
            self.held.keys().filter(|file| file.parent() == Some(path) && !all.contains(file));
        let held: Vec<PathBuf> = held.cloned().collect();
        all.extend(held);
        all
    }
}

/// A name that a file may be given, of what a browser calls it: it is no path, hides nothing, and is
/// allowed on every common system.
pub fn file_name(name: &str) -> Result<&str, Failure> {
    match file_name::fault(name) {
        None => Ok(name),
        Some(why) => {
            let shown: String = name.chars().take(80).collect();
            Err(Failure::Input(format!(
                "{shown:?}: found a name {why}, expected the name of a file such as \"field.geojson\"; rename it"
            )))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_no_paths() {
        for name in ["field.geojson", "Füll 2.csv", "a..b.shp"] {
            assert_eq!(file_name(name).unwrap(), name);
        }
        for name in ["", "..", ".hidden", "a/b", "..\\x", "c:x", "nul.csv", "COM1", "a\u{0}b", "x."]
        {
            assert!(file_name(name).is_err(), "{name:?}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn links_are_judged_by_where_they_lead() {
        use std::os::unix::fs::symlink;
        let (outside, inside) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        fs::write(outside.path().join("secret"), "s").unwrap();
        fs::write(inside.path().join("own"), "o").unwrap();
        symlink(outside.path().join("secret"), inside.path().join("out")).unwrap();
        symlink(outside.path().join("nowhere"), inside.path().join("dangling")).unwrap();
        symlink(outside.path(), inside.path().join("folder")).unwrap();
        symlink(inside.path().join("own"), inside.path().join("in")).unwrap();
        let folder = OpenedFolder::open(inside.path()).unwrap();
        let files = folder.with([]);
        let read = |name: &str| files.bytes(&folder.place(name)).map_err(|error| error.to_string());
        assert_eq!((read("own").unwrap(), read("in").unwrap()), (b"o".to_vec(), b"o".to_vec()));
        for name in ["out", "dangling", "folder/secret", "../x"] {
            assert!(read(name).unwrap_err().starts_with("leads out of the folder"), "{name}");
        }
        assert_eq!(files.folder(&folder.place("folder")), Vec::<PathBuf>::new());
        assert_eq!(read("none").unwrap_err(), "there is no such file; check the path");
    }
}
