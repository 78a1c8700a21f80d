//! Writing a job's folder, all of it or nothing.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use landplaster::write::{OutputFile, is_ours};

use super::failure::Failure;

/// Puts files into `folder/job`, in place of what an earlier run put there.
pub fn replace(folder: &Path, job: &str, files: &[OutputFile]) -> Result<PathBuf, Failure> {
    Out::open(folder)?.replace(job, files)
}

/// A folder of jobs' folders that no other run writes into meanwhile.
#[derive(Debug)]
pub struct Out {
    folder: PathBuf,
    /// Released when the run ends, however.
    _lock: File,
}

impl Out {
    /// Makes the folder if need be, and waits until no other run writes into it.
    pub fn open(folder: &Path) -> Result<Self, Failure> {
        let lock = fs::create_dir_all(folder)
            .and_then(|()| File::create(folder.join(".landplaster.lock")))
            .and_then(|file| file.lock().map(|()| file))
            .map_err(|error| fault(folder, &error))?;
        Ok(Self { folder: folder.to_owned(), _lock: lock })
    }

    /// A job's folder, with whatever a killed run left of a replacement cleared away.
    pub fn settled(&self, job: &str) -> Result<PathBuf, Failure> {
        let (fresh, target) = self.places(job);
        settle(&fresh, &target).map_err(|error| fault(&target, &error))?;
        Ok(target)
    }

    /// Puts files into a job's folder, in place of what an earlier run put there.
    ///
    /// The files are written and flushed beside the old folder, then the two change places in one
    /// step of the file system; a run that is killed leaves either the old folder or the new one,
    /// whole. Files in the old folder that are not this program's are carried over. Several threads
    /// may replace different jobs at a time.
    pub fn replace(&self, job: &str, files: &[OutputFile]) -> Result<PathBuf, Failure> {
        let (fresh, target) = self.places(job);
        let written = settle(&fresh, &target)
            .and_then(|()| fill(&fresh, files))
            .and_then(|()| swap(&fresh, &target));
        if let Err(error) = written {
            // Whatever is left of the attempt is cleared away by the next run at the latest.
            let _ = settle(&fresh, &target);
            return Err(fault(&target, &error));
        }
        Ok(target)
    }

    /// Where a job's files are written, and where they then stand.
    fn places(&self, job: &str) -> (PathBuf, PathBuf) {
        (self.folder.join(format!(".{job}.new")), self.folder.join(job))
    }
}

fn fault(place: &Path, error: &io::Error) -> Failure {
    let path = place.display();
    Failure::Write(format!("{path}: cannot be written ({error}); choose another folder with --out"))
}

fn remove(folder: &Path) -> io::Result<()> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

fn fill(fresh: &Path, files: &[OutputFile]) -> io::Result<()> {
    fs::create_dir(fresh)?;
    for OutputFile { name, bytes } in files {
        let path = fresh.join(name);
        fs::create_dir_all(path.parent().unwrap_or(fresh))?;
        let mut file = File::create_new(path)?;
        file.write_all(bytes)?;
        file.sync_all()?;
    }
    Ok(())
}

/// Puts the fresh folder in the target's place and clears away the old one.
fn swap(fresh: &Path, target: &Path) -> io::Result<()> {
    if !target.exists() {
        return fs::rename(fresh, target);
    }
    exchange(fresh, target)?;
    // The old content now stands under the fresh name.
    settle(fresh, target)
}

/// Ends a replacement at whatever point it is: files in the fresh folder that are not this
/// program's came from the old target and go into the new one; the rest is no longer needed.
fn settle(fresh: &Path, target: &Path) -> io::Result<()> {
    let aside = aside(fresh);
    if aside.exists() {
        let home = if target.exists() { fresh } else { target };
        fs::rename(&aside, home)?;
    }
    let entries = match fs::read_dir(fresh) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        entries => entries?,
    };
    for entry in entries {
        let entry = entry?;
        let new = target.join(entry.file_name());
        if !is_ours(&entry.file_name().to_string_lossy()) && !new.exists() {
            fs::rename(entry.path(), new)?;
        }
    }
    remove(fresh)
}

/// Two folders change places in one step where the file system can, as Linux's own can.
fn exchange(a: &Path, b: &Path) -> io::Result<()> {
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        use rustix::io::Errno;
        match renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE) {
            Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => {}
            done => return done.map_err(io::Error::from),
        }
    }
    exchange_by_way_of_a_third(a, b)
}

/// Two folders change places in three steps; between the first two, the second stands under the
/// name of the first with `.old`.
fn exchange_by_way_of_a_third(a: &Path, b: &Path) -> io::Result<()> {
    let aside = aside(a);
    fs::rename(b, &aside)?;
    if let Err(error) = fs::rename(a, b) {
        fs::rename(&aside, b)?;
        return Err(error);
    }
    fs::rename(&aside, a)
}

/// The third place.
fn aside(fresh: &Path) -> PathBuf {
    fresh.with_extension("old")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ways_of_changing_places() {
        for exchange in [exchange, exchange_by_way_of_a_third] {
            let folder = tempfile::tempdir().unwrap();
            let (a, b) = (folder.path().join("a"), folder.path().join("b"));
            fs::create_dir(&a).unwrap();
            fs::create_dir(&b).unwrap();
            fs::write(a.join("new"), "").unwrap();
            exchange(&a, &b).unwrap();
            assert!(b.join("new").exists() && !a.join("new").exists() && a.exists());
        }
    }

    /// Whatever point a run is killed at, the next one finds a whole folder, the old or the new,
    /// with the user's own file in it, and nothing beside it.
    #[test]
    fn a_killed_replacement_is_settled() {
        let old_and_new = |aside_to: Option<&str>, fresh: &[&str], target: &[&str]| {
            let folder = tempfile::tempdir().unwrap();
            let make = |place: PathBuf, files: &[&str]| {
                fs::create_dir(&place).unwrap();
                for name in files {
                    fs::write(place.join(name), "").unwrap();
                }
            };
            for (name, files) in [(".job.new", fresh), ("job", target)] {
                if !files.is_empty() {
                    make(folder.path().join(name), files);
                }
            }
            if let Some(file) = aside_to {
                make(folder.path().join(".job.old"), &["totals.csv", file]);
            }
            let out = Out::open(folder.path()).unwrap();
            let names = |place: &Path| {
                let entries = fs::read_dir(place).unwrap();
                let mut names: Vec<String> = entries
                    .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
                    .collect();
                names.sort();
                names
            };
            let target = out.settled("job").unwrap();
            assert_eq!(names(folder.path()), [".landplaster.lock", "job"]);
            names(&target)
        };
        let whole = ["notes.txt", "totals.csv"];
        // While the new one is written.
        assert_eq!(old_and_new(None, &["zones.shp"], &whole), whole);
        // After the exchange, before the user's file is carried over.
        assert_eq!(old_and_new(None, &whole, &["totals.csv"]), whole);
        // Between the three steps of an exchange by way of a third.
        assert_eq!(old_and_new(Some("notes.txt"), &["zones.shp"], &[]), whole);
        assert_eq!(old_and_new(Some("notes.txt"), &[], &["totals.csv"]), whole);
    }
}
