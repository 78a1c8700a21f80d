//! Files from the disk: the one place of the library that reads it.

use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::{FileError, Files};

/// The disk, by paths as they are.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

/// The most that a file may have, in bytes: far more than a field's boundary, soil test or season of
/// logs, and no more than a machine can hold many times over.
const MOST_BYTES: u64 = 256 << 20;

impl Files for Disk {
    /// Pipes and devices are refused: one may never end, or never begin.
    fn bytes(&self, path: &Path) -> Result<Vec<u8>, FileError> {
        let fault = |reason: &str| FileError::new(&format!("{reason}; check the path"));
        let unread = |error: io::Error| match error.kind() {
            io::ErrorKind::NotFound => fault("there is no such file"),
            _ => fault(&error.to_string()),
        };
        let found = fs::metadata(path).map_err(unread)?;
        if !found.is_file() {
            return Err(fault(&format!("this is {}, expected a file", kind(&found))));
        }
        let mut bytes = Vec::new();
        let file = fs::File::open(path).map_err(unread)?;
        file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(unread)?;
        if bytes.len() as u64 > MOST_BYTES {
            let most = MOST_BYTES >> 20;
            return Err(FileError::new(&format!(
                "found more than {most} MB, expected at most that; cut the file down to the field"
            )));
        }
        Ok(bytes)
    }

    fn folder(&self, path: &Path) -> Vec<PathBuf> {
        let place = if path.as_os_str().is_empty() { Path::new(".") } else { path };
        let entries = fs::read_dir(place).into_iter().flatten().filter_map(Result::ok);
        entries.map(|entry| path.join(entry.file_name())).collect()
    }
}

/// What stands at a path, for messages. A link is one only by metadata that were not followed.
#[must_use]
pub fn kind(found: &fs::Metadata) -> &'static str {
    if found.is_symlink() {
        "a link"
    } else if found.is_dir() {
        "a folder"
    } else if found.is_file() {
        "a file"
    } else {
        "a pipe or a device"
    }
}
