//! A look into the files of a folder.

use std::path::{Path, PathBuf};

use super::Files;
use super::files::source;
use crate::folder_contents::{FileContent, FolderContents};
use crate::job::{Farm, Job};
use crate::read;

/// Looks into files, and says what each is for. TOML that is no job is left out.
#[must_use]
pub fn look(paths: &[PathBuf], files: &dyn Files) -> FolderContents {
    let found = paths.iter().filter_map(|path| Some((path.clone(), found(path, files)?)));
    FolderContents::of(found.collect())
}

fn found(path: &Path, files: &dyn Files) -> Option<FileContent> {
    if extension(path) == "toml" {
        return is_job(path, files).then_some(FileContent::Job);
    }
    let source = match source(files, "file", path) {
        Ok(source) => source,
        Err(error) => return Some(FileContent::Nothing(error.to_string())),
    };
    Some(match read::look_into(&source) {
        Ok(look) => FileContent::Look(Box::new(look)),
        Err(error) => FileContent::Nothing(error.to_string()),
    })
}

/// The files in a folder that may be read, in the order of their names.
#[must_use]
pub fn readable(folder: &Path, files: &dyn Files) -> Vec<PathBuf> {
    let is_hidden = |path: &Path| super::name(path).starts_with('.');
    let known = |path: &PathBuf| extension(path) == "toml" || read::is_known(&super::name(path));
    let mut all: Vec<PathBuf> = files.folder(folder);
    all.retain(|path| known(path) && !is_hidden(path));
    all.sort();
    all
}

fn is_job(path: &Path, files: &dyn Files) -> bool {
    let Ok(text) = super::text(files, "file", path) else { return false };
    Farm::is_one(&text) || Job::read("", &text).is_ok()
}

fn extension(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}
