//! Locks that keep two runs from writing in one place: files to which nothing is ever written.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::Path;

use landplaster::path_text::shown;
use landplaster::work::kind;

use super::failure::Failure;
use super::standard_error::say;

/// A lock that this run has; released when it ends, however.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

impl Lock {
    /// The lock of a folder, which must be there.
    pub fn of_folder(folder: &Path) -> Result<Self, Failure> {
        Self::take(&folder.join(".landplaster.lock"), folder)
    }

    /// The lock of a file that is read, added to and written again.
    pub fn of_file(path: &Path) -> Result<Self, Failure> {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        Self::take(&path.with_file_name(format!(".{name}.lock")), path)
    }

    /// Waits, and says so, while another run has it.
    fn take(lock: &Path, what: &Path) -> Result<Self, Failure> {
        let place = shown(lock);
        if let Ok(found) = fs::symlink_metadata(lock)
            && !found.is_file()
        {
            return Err(Failure::Write(format!(
                "{place}: found {}, expected landplaster's own lock, an empty file, or nothing; remove it",
                kind(&found)
            )));
        }
        let taken = open(lock).and_then(|file| match file.try_lock() {
            Ok(()) => Ok(file),
            Err(TryLockError::WouldBlock) => {
                say(format_args!("Another run is writing {}; waiting for it.", shown(what)));
                file.lock().map(|()| file)
            }
            Err(TryLockError::Error(error)) => Err(error),
        });
        taken.map(|file| Self { _file: file }).map_err(|error| {
            Failure::Write(format!(
                "{place}: cannot be locked ({error}); check the folder and its rights"
            ))
        })
    }
}

/// Opens a lock as it is, or makes it. A link is not followed, even one that came to be there since
/// it was looked at.
fn open(lock: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.custom_flags(rustix::fs::OFlags::NOFOLLOW.bits().cast_signed());
    }
    options.open(lock)
}
