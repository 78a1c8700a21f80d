//! What a run may put another folder in place of: only a folder that is the user's own, on the disk
//! where it stands, and whose content can be moved.

use std::fs;
use std::io;
use std::path::Path;

use landplaster::path_text::shown;
use landplaster::work::kind;

use super::content::{Content, stands};
use super::{Failure, fault};
use crate::cli::held::is_held;

/// Refuses what stands in a job folder's place and is no folder.
pub fn is_folder(target: &Path) -> Result<(), Failure> {
    match fs::symlink_metadata(target) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(fault(target, &error)),
        Ok(found) if found.is_dir() => Ok(()),
        Ok(found) => Err(refusal(target, kind(&found), "a folder or nothing")),
    }
}

/// Refuses a folder that cannot be replaced as a whole by the fresh one beside it.
pub fn is_replaceable(target: &Path, fresh: &Path, content: &Content) -> Result<(), Failure> {
    let look = |place: &Path| fs::symlink_metadata(place).map_err(|error| fault(place, &error));
    let made = look(fresh)?;
    for folder in std::iter::once(target.to_owned())
        .chain(content.folders.iter().map(|inner| target.join(inner)))
    {
        like_ours(&folder, &look(&folder)?, &made)?;
    }
    let Some(path) = content.own.iter().find(|path| stands(&fresh.join(path))) else {
        return Ok(());
    };
    let (place, ours) = (target.join(path), look(&fresh.join(path))?);
    let expected =
        if ours.is_dir() { "landplaster's own folder" } else { "landplaster's own file" };
    Err(refusal(&place, kind(&look(&place)?), expected))
}

/// Refuses a folder in which another program has a file open, where such a file cannot be moved.
pub fn is_let_go(target: &Path, content: &Content) -> Result<(), Failure> {
    let inside = content.ours.iter().chain(&content.folders).chain(&content.own);
    let places = inside.map(|path| target.join(path)).chain([target.to_owned()]);
    match places.into_iter().find(|place| is_held(place)) {
        None => Ok(()),
        Some(held) => Err(Failure::Write(format!(
            "{}: is open in another program; close it there and run this again, or choose another folder with --out. All is as it was",
            shown(held)
        ))),
    }
}

/// Refuses a folder of another owner than one just made, or on another file system, or that nothing
/// can be moved out of.
#[cfg(unix)]
fn like_ours(folder: &Path, found: &fs::Metadata, made: &fs::Metadata) -> Result<(), Failure> {
    use std::os::unix::fs::MetadataExt;

    use rustix::fs::{Access, access};

    if found.dev() != made.dev() {
        let expected = "one on the same file system as the folder around it";
        return Err(refusal(folder, "a folder that is a file system of its own", expected));
    }
    if found.uid() != made.uid() {
        return Err(refusal(folder, "a folder of another user", "one of yours"));
    }
    access(folder, Access::WRITE_OK | Access::EXEC_OK).map_err(|error| fault(folder, &error.into()))
}

#[cfg(not(unix))]
fn like_ours(_: &Path, _: &fs::Metadata, _: &fs::Metadata) -> Result<(), Failure> {
    Ok(())
}

/// What is in the way, and what to do about it.
pub fn refusal(place: &Path, found: &str, expected: &str) -> Failure {
    let place = shown(place);
    Failure::Write(format!(
        "{place}: found {found}, expected {expected}; move it away, or choose another folder with --out"
    ))
}
