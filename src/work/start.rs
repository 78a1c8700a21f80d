//! A look into the files of a folder.

use std::path::{Path, PathBuf};

use super::Files;
use super::files::source;
use crate::folder_contents::{FileContent, FolderContents};
use crate::job::{Farm, Job};
use crate::read;

/// Looks into files, and says what each is for. TOML that is not meant as a job is left out.
#[must_use]
pub fn look(paths: &[PathBuf], files: &dyn Files) -> FolderContents {
    let found = paths.iter().filter_map(|path| Some((path.clone(), found(path, files)?)));
    FolderContents::of(found.collect())
}

fn found(path: &Path, files: &dyn Files) -> Option<FileContent> {
    if extension(path) == "toml" {
        return toml(path, files);
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

fn toml(path: &Path, files: &dyn Files) -> Option<FileContent> {
    let text = match super::text(files, "file", path) {
        Ok(text) => text,
        Err(error) => return Some(FileContent::Nothing(error.to_string())),
    };
    if Farm::is_one(&text) {
        return Some(FileContent::Job);
    }
    match Job::read(&super::name(path), &text) {
        Ok(_) => Some(FileContent::Job),
        // Other files, such as a machine's, name no boundary.
        Err(error) => {
            let is_meant = text.lines().any(|line| line.trim_start().starts_with("boundary"));
            is_meant.then(|| FileContent::Nothing(error.to_string()))
        }
    }
}

fn extension(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}
