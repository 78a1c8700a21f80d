//! What in a job's folder is this program's, and what is the user's.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use landplaster::write::{is_of_sampling, is_our_folder, is_ours};

use super::change;

/// By what names a command knows its own files, and folders that it puts files into. What another
/// command wrote is the user's to it.
#[derive(Clone, Copy, Debug)]
pub struct Ours {
    file: fn(&str) -> bool,
    folder: fn(&str) -> bool,
}

impl Ours {
    /// Those of a plan or a farm.
    pub const PLAN: Self = Self { file: is_ours, folder: is_our_folder };
    /// Those of a sampling plan.
    pub const SAMPLING: Self = Self { file: is_of_sampling, folder: |_| false };
}

/// A folder's content by paths from the folder, in order.
#[derive(Debug, Default)]
pub struct Content {
    /// Files of this program.
    pub ours: Vec<PathBuf>,
    /// Folders that this program puts files into.
    pub folders: Vec<PathBuf>,
    /// Everything else: what has another name, and what has one of ours and is no file. Folders of
    /// the user's stand here as a whole.
    pub own: Vec<PathBuf>,
}

impl Content {
    /// Of a folder; of none, nothing.
    pub fn of(folder: &Path, ours: Ours) -> io::Result<Self> {
        let mut content = Self::default();
        content.look(folder, Path::new(""), ours)?;
        Ok(content)
    }

    fn look(&mut self, folder: &Path, inside: &Path, ours: Ours) -> io::Result<()> {
        let entries = match fs::read_dir(folder.join(inside)) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
            entries => entries?,
        };
        let mut entries = entries.collect::<io::Result<Vec<_>>>()?;
        entries.sort_by_key(fs::DirEntry::file_name);
        for entry in entries {
            let (path, kind) = (inside.join(entry.file_name()), entry.file_type()?);
            if kind.is_dir() && (ours.folder)(&named(&path)) {
                self.look(folder, &path, ours)?;
                self.folders.push(path);
            } else if kind.is_file() && (ours.file)(&named(&path)) {
                self.ours.push(path);
            } else {
                self.own.push(path);
            }
        }
        Ok(())
    }
}

/// A path as files are named for writing, with `/` on every system.
fn named(path: &Path) -> String {
    path.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/")
}

/// Removes a folder with this program's files; one that holds anything else stays, with that.
pub fn clear(folder: &Path, ours: Ours) -> io::Result<()> {
    if !stands(folder) {
        return Ok(());
    }
    let content = Content::of(folder, ours)?;
    for file in &content.ours {
        change::remove_file(&folder.join(file))?;
    }
    for inner in &content.folders {
        change::remove_folder(&folder.join(inner))?;
    }
    change::remove_folder(folder)
}

/// Moves something of the user's to the same path in another folder, in which nothing is there.
pub fn carry(path: &Path, from: &Path, to: &Path) -> io::Result<()> {
    let place = to.join(path);
    for folder in [Some(to), place.parent()].into_iter().flatten() {
        if !stands(folder) {
            change::make_folder(folder)?;
        }
    }
    change::rename(&from.join(path), &place)
}

/// Whether anything has a path, be it a link that leads nowhere.
pub fn stands(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}
