//! Files from the disk: the one place of the library that reads it.

use std::fs;
use std::path::{Path, PathBuf};

use super::{FileError, Files};

/// The disk, by paths as they are.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

impl Files for Disk {
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, FileError> {
        fs::read(path).map_err(|error| {
            let reason = match error.kind() {
                std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
                std::io::ErrorKind::IsADirectory => "this is a folder, expected a file".to_owned(),
                _ => error.to_string(),
            };
            FileError::new(&format!("{reason}; check the path"))
        })
    }

    fn folder(&self, path: &Path) -> Vec<PathBuf> {
        let place = if path.as_os_str().is_empty() { Path::new(".") } else { path };
        let entries = fs::read_dir(place).into_iter().flatten().filter_map(Result::ok);
        entries.map(|entry| path.join(entry.file_name())).collect()
    }
}
