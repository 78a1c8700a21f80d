//! Writing a job's folder, all of it or nothing.

mod change;
mod content;
mod judge;
mod settle;
#[cfg(test)]
mod tests;

use std::io;
use std::path::{Path, PathBuf};

use landplaster::path_text::shown;
use landplaster::write::OutputFile;

use super::failure::Failure;
use super::lock::Lock;
use super::saving;
use super::standard_error::say;
pub use content::Ours;
use content::{Content, carry, stands};
use settle::{aside, settle};

/// Puts files into `folder/job`, in place of what an earlier run of the same command put there.
pub fn replace(
    folder: &Path,
    job: &str,
    files: &[OutputFile],
    ours: Ours,
) -> Result<PathBuf, Failure> {
    OutputFolder { ours, ..OutputFolder::open(folder)? }.replace(job, files)
}

/// A folder of jobs' folders that no other run writes into meanwhile.
#[derive(Debug)]
pub struct OutputFolder {
    folder: PathBuf,
    ours: Ours,
    _lock: Lock,
}

impl OutputFolder {
    /// Makes the folder if need be, and waits until no other run writes into it.
    pub fn open(folder: &Path) -> Result<Self, Failure> {
        saving::folder(folder)?;
        let lock = Lock::of_folder(folder)?;
        Ok(Self { folder: folder.to_owned(), ours: Ours::PLAN, _lock: lock })
    }

    /// A job's folder, with whatever a killed run left of a replacement cleared away.
    pub fn settled(&self, job: &str) -> Result<PathBuf, Failure> {
        let (fresh, target) = self.places(job);
        judge::is_folder(&target)?;
        settle(&fresh, &target, self.ours)?;
        Ok(target)
    }

    /// Puts files into a job's folder, in place of what an earlier run put there.
    ///
    /// The files are written and flushed beside the old folder; what is the user's own in that is
    /// moved over; then the two change places in one step of the file system. A run that is killed
    /// leaves either the old folder or the new one, and the next run gives back what had been moved
    /// over. Everything that may fail comes before that step, and a failure takes it all back.
    /// Several threads may replace different jobs at a time.
    pub fn replace(&self, job: &str, files: &[OutputFile]) -> Result<PathBuf, Failure> {
        let target = self.settled(job)?;
        let (fresh, _) = self.places(job);
        let put = fill(&fresh, files)
            .map_err(|error| fault(&target, &error))
            .and_then(|()| move_over(&target, &fresh, self.ours))
            .and_then(|()| {
                let swapped = flush(&fresh, self.ours).and_then(|()| swap(&fresh, &target));
                swapped.map_err(|error| fault(&target, &error))
            });
        if let Err(failure) = put {
            // Where even this fails, the next run does it; the first failure says more.
            let _ = settle(&fresh, &target, self.ours);
            return Err(failure);
        }
        // From here on the new files stand, whatever happens.
        let _ = change::flush_folder(&self.folder);
        if let Err(failure) = settle(&fresh, &target, self.ours) {
            say(format_args!("warning: {failure}"));
        }
        Ok(target)
    }

    /// Where a job's files are written, and where they then stand.
    fn places(&self, job: &str) -> (PathBuf, PathBuf) {
        (self.folder.join(format!(".{job}.new")), self.folder.join(job))
    }
}

fn fault(place: &Path, error: &io::Error) -> Failure {
    let path = shown(place);
    Failure::Write(format!("{path}: cannot be written ({error}); choose another folder with --out"))
}

fn fill(fresh: &Path, files: &[OutputFile]) -> io::Result<()> {
    change::make_folder(fresh)?;
    for OutputFile { name, bytes } in files {
        let place = fresh.join(name);
        let inner = place.parent().filter(|folder| !stands(folder));
        inner.map_or(Ok(()), change::make_folder)?;
        change::make_file(&place, bytes)?;
    }
    Ok(())
}

/// Moves what is the user's own from the old folder into the fresh one, if that may take its place.
fn move_over(target: &Path, fresh: &Path, ours: Ours) -> Result<(), Failure> {
    if !stands(target) {
        return Ok(());
    }
    let content = Content::of(target, ours).map_err(|error| fault(target, &error))?;
    judge::is_replaceable(target, fresh, &content)?;
    judge::is_let_go(target, &content)?;
    for path in &content.own {
        carry(path, target, fresh).map_err(|error| {
            let place = target.join(path);
            Failure::Write(format!(
                "{}: found a file or folder of yours that cannot be moved ({error}); move it away, or choose another folder with --out",
                shown(&place)
            ))
        })?;
    }
    Ok(())
}

/// Waits until the disk has the names of what is in the fresh folder.
fn flush(fresh: &Path, ours: Ours) -> io::Result<()> {
    for inner in Content::of(fresh, ours)?.folders {
        change::flush_folder(&fresh.join(inner))?;
    }
    change::flush_folder(fresh)
}

/// Puts the fresh folder in the target's place; what stood there then stands beside it.
fn swap(fresh: &Path, target: &Path) -> io::Result<()> {
    if stands(target) {
        if change::exchange(fresh, target)? {
            return Ok(());
        }
        change::rename(target, &aside(fresh))?;
    }
    change::rename(fresh, target)
}
