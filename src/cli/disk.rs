//! Writing a job's folder, all of it or nothing.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use landplaster::write::{OutputFile, is_ours};

use super::failure::Failure;

/// Puts files into `folder/job`, in place of what an earlier run put there.
///
/// The files are written and flushed beside the old folder, then the two change places in one step
/// of the file system; a run that is killed leaves either the old folder or the new one, whole.
/// Files in the old folder that are not this program's are carried over.
pub fn replace(folder: &Path, job: &str, files: &[OutputFile]) -> Result<PathBuf, Failure> {
    let target = folder.join(job);
    let fault = |error: io::Error| {
        let path = target.display();
        Failure::Write(format!(
            "{path}: cannot be written ({error}); choose another folder with --out"
        ))
    };
    fs::create_dir_all(folder).map_err(fault)?;
    let _one_at_a_time = lock(folder).map_err(fault)?;
    let fresh = folder.join(format!(".{job}.new"));
    let written =
        remove(&fresh).and_then(|()| fill(&fresh, files)).and_then(|()| swap(&fresh, &target));
    if let Err(error) = written {
        // Whatever is left of the attempt is removed by the next run at the latest.
        let _ = remove(&fresh);
        return Err(fault(error));
    }
    Ok(target)
}

/// Keeps two runs from writing into one folder at a time; released when the run ends, however.
fn lock(folder: &Path) -> io::Result<File> {
    let file = File::create(folder.join(".landplaster.lock"))?;
    file.lock()?;
    Ok(file)
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
    for entry in fs::read_dir(fresh)? {
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
    let aside = a.with_extension("old");
    fs::rename(b, &aside)?;
    if let Err(error) = fs::rename(a, b) {
        fs::rename(&aside, b)?;
        return Err(error);
    }
    fs::rename(&aside, a)
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
}
