//! Writing single files: each appears whole or not at all.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use landplaster::file_name;
use landplaster::path_text::shown;
use landplaster::work::kind;

use super::failure::Failure;
use super::held::{is_held, patiently};

/// Writes files into a folder, which is made if need be: all of them, or none if one cannot be
/// written.
pub fn all(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    self::folder(folder)?;
    let mut ready = Vec::new();
    for (name, bytes) in files {
        match Ready::make(&folder.join(name), bytes) {
            Ok(file) => ready.push(file),
            Err(failure) => {
                ready.iter().for_each(Ready::discard);
                return Err(failure);
            }
        }
    }
    let put = ready.iter().try_for_each(Ready::put);
    put.inspect_err(|_| ready.iter().for_each(Ready::discard))
}

/// Makes a folder, with those around it, if need be.
pub fn folder(folder: &Path) -> Result<(), Failure> {
    let missing = folder.ancestors().take_while(|place| fs::symlink_metadata(place).is_err());
    missing.into_iter().try_for_each(has_name)?;
    fs::create_dir_all(folder).map_err(|error| {
        let place = shown(folder);
        Failure::Write(format!(
            "{place}: cannot be made ({error}); choose another folder with --out"
        ))
    })
}

/// Refuses a new file or folder whose name not every system can have.
fn has_name(place: &Path) -> Result<(), Failure> {
    let name = place.file_name().unwrap_or_default().to_string_lossy();
    match file_name::fault(name.trim_start_matches('.')) {
        Some(why) if !name.is_empty() => Err(Failure::Input(format!(
            "{}: found the name {name:?}, {why}; choose another one with --out",
            shown(place)
        ))),
        _ => Ok(()),
    }
}

/// Writes a file in place of what it was. The caller has its lock.
pub fn one(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    Ready::make(path, bytes)?.put()
}

/// Writes a file that is not there yet.
pub fn new(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    is_free(path)?;
    Ready::make(path, bytes)?.put_new()
}

/// Refuses a file that is there.
pub fn is_free(path: &Path) -> Result<(), Failure> {
    if fs::symlink_metadata(path).is_err() {
        return Ok(());
    }
    let place = shown(path);
    Err(Failure::Input(format!(
        "{place}: there already, and nothing is overwritten; name another file with --out, or move it away"
    )))
}

/// Where a file that the user named really is: a link to it stays one when it is written again.
pub fn real(path: &Path) -> Result<PathBuf, Failure> {
    if !fs::symlink_metadata(path).is_ok_and(|found| found.is_symlink()) {
        return Ok(path.to_owned());
    }
    fs::canonicalize(path).map_err(|error| {
        let place = shown(path);
        Failure::Write(format!("{place}: found a link that leads nowhere ({error}); remove it"))
    })
}

/// A file written beside its place.
struct Ready {
    beside: PathBuf,
    path: PathBuf,
}

impl Ready {
    /// Writes it and waits until the disk has it.
    fn make(path: &Path, bytes: &[u8]) -> Result<Self, Failure> {
        let before = fs::symlink_metadata(path).ok();
        if let Some(found) = before.as_ref().filter(|found| !found.is_file()) {
            let place = shown(path);
            return Err(Failure::Write(format!(
                "{place}: found {}, expected a file or nothing; move it away",
                kind(found)
            )));
        }
        if before.is_none() {
            has_name(path)?;
        }
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let beside = path.with_file_name(format!(".{name}.{}.new", std::process::id()));
        let ready = Self { beside, path: path.to_owned() };
        // What a killed run of this number left; of a link, the link itself.
        let cleared = match fs::remove_file(&ready.beside) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
            cleared => cleared,
        };
        let written =
            cleared.and_then(|()| File::create_new(&ready.beside)).and_then(|mut file| {
                file.write_all(bytes)?;
                if let Some(before) = before {
                    file.set_permissions(before.permissions())?;
                }
                file.sync_all()
            });
        written.map_err(|error| ready.fault(&error))?;
        Ok(ready)
    }

    /// Moves it to its place.
    fn put(&self) -> Result<(), Failure> {
        patiently(|| fs::rename(&self.beside, &self.path)).map_err(|error| self.fault(&error))
    }

    /// Moves it to its place, if nothing has come there meanwhile.
    fn put_new(&self) -> Result<(), Failure> {
        let linked = fs::hard_link(&self.beside, &self.path);
        match linked {
            Ok(()) => {
                self.discard();
                Ok(())
            }
            // Where there are no hard links, what came meanwhile was looked for a moment ago.
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists => self.put(),
            Err(error) => Err(self.fault(&error)),
        }
    }

    /// Nothing may be left beside its place; if even that fails, the first failure says more.
    fn discard(&self) {
        let _ = fs::remove_file(&self.beside);
    }

    fn fault(&self, error: &io::Error) -> Failure {
        self.discard();
        let place = shown(&self.path);
        let what_to_do = if is_held(&self.path) {
            "close it in the other program"
        } else {
            "check the folder and its rights"
        };
        Failure::Write(format!("{place}: cannot be written ({error}); {what_to_do}"))
    }
}
