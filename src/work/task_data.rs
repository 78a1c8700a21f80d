//! The files of task data, those in binary with them.

use std::path::Path;

use super::files::{extension, is_main, name};
use super::{FileError, Files, WorkError};
use crate::path_text::shown;
use crate::read::ReadError;
use crate::read::taskdata::{self, MOST_BYTES};

/// The files of task data that a path is of: a folder with its main file, that file, or a ZIP archive
/// with it. None if it is something else; `what` it is for goes into the message.
///
/// # Errors
/// When a file cannot be read, or they are more than task data ever is.
pub fn task_data(
    files: &dyn Files,
    what: &str,
    path: &Path,
) -> Result<Option<taskdata::Files>, WorkError> {
    if files.folder(path).iter().any(|inner| is_main(inner)) {
        return Ok(Some(task_files(files, what, path)?));
    }
    if is_main(path) {
        return Ok(Some(task_files(files, what, path.parent().unwrap_or(Path::new("")))?));
    }
    if extension(path) != "zip" {
        return Ok(None);
    }
    let bytes = files.bytes(path).map_err(|error| error.of(what, path))?;
    if !taskdata::has_main(&bytes) {
        return Ok(None);
    }
    let unpacked = taskdata::unpack(&shown(path), &bytes);
    Ok(Some(unpacked.map_err(ReadError::from)?))
}

/// The XML and binary files of a folder, in all no more than task data can have.
///
/// # Errors
/// When one cannot be read, or they are more than that.
pub fn task_files(
    files: &dyn Files,
    what: &str,
    folder: &Path,
) -> Result<taskdata::Files, FileError> {
    let mut found = taskdata::Files::new();
    let mut left = MOST_BYTES;
    let inside = files.folder(folder);
    let known = |path: &&std::path::PathBuf| ["xml", "bin"].contains(&extension(path).as_str());
    for path in inside.iter().filter(known) {
        let bytes = files.bytes(path).map_err(|error| error.of(what, path))?;
        left = left.checked_sub(bytes.len()).ok_or_else(|| {
            let most = MOST_BYTES >> 20;
            FileError::new(&format!(
                "found more than {most} MB in its files, expected at most that; take out logs of other fields"
            ))
            .of(what, folder)
        })?;
        found.insert(name(path), bytes);
    }
    Ok(found)
}
