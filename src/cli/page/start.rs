//! Starting from nothing: files that are dropped on the page or lie in the folder, and the job that is
//! made of them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use landplaster::folder_contents::FolderContents;
use landplaster::page::{Chosen, Understood, job_text, look_into};
use landplaster::read::FileLook;
use landplaster::work::{self, Files as _, Work, readable};
use serde::Deserialize;

use super::folder::{Inside, OpenedFolder, file_name};
use crate::cli::failure::Failure;
use crate::cli::lock::Lock;
use crate::cli::saving;

/// The largest file that is taken.
pub const MOST_FILE: usize = 64 << 20;
/// The most of them, and of their bytes together.
const MOST_FILES: usize = 60;
const MOST_BYTES: usize = 256 << 20;
/// More files of a folder than these are not looked into.
const MOST_LOOKED: usize = 200;

/// What was given to start from, not on the disk yet.
#[derive(Default)]
pub struct Start {
    held: BTreeMap<String, Vec<u8>>,
}

/// How a job is started.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Started {
    chosen: Chosen,
    /// What the job is called; after its field or boundary if empty.
    #[serde(default)]
    name: String,
}

impl Start {
    /// Takes a file. It is written into the folder when a job is made of it, and only where there is none
    /// of its name.
    pub fn take(
        &mut self,
        folder: &OpenedFolder,
        name: &str,
        bytes: Vec<u8>,
    ) -> Result<(), Failure> {
        let name = file_name(name)?;
        let place = folder.place(name);
        if fs::symlink_metadata(&place).is_ok() {
            let is_same = folder.with([]).bytes(&place).is_ok_and(|there| there == bytes);
            return if is_same {
                Ok(())
            } else {
                Err(Failure::Input(format!(
                    "{name}: another file of this name is in the folder already, and nothing is overwritten; rename yours, or use the one that is there"
                )))
            };
        }
        let others = self.held.iter().filter(|(other, _)| *other != name);
        let others: usize = others.map(|(_, bytes)| bytes.len()).sum();
        if self.held.len() >= MOST_FILES || others + bytes.len() > MOST_BYTES {
            return Err(Failure::Input(format!(
                "{name}: found more than {MOST_FILES} files or {} MB in all, expected those of one field; end the page and begin again",
                MOST_BYTES >> 20
            )));
        }
        self.held.insert(name.to_owned(), bytes);
        Ok(())
    }

    /// What was understood of the files that are there.
    pub fn understood(&self, folder: &OpenedFolder) -> Understood {
        let (looks, seen) = self.looks(folder);
        Understood::new(&looks, &seen)
    }

    fn looks(&self, folder: &OpenedFolder) -> (Vec<(PathBuf, FileLook)>, FolderContents) {
        let files = self.files(folder);
        let readable = readable(&folder.shown, &files);
        let names: Vec<String> =
            readable.iter().take(MOST_LOOKED).map(|path| work::name(path)).collect();
        look_into(&names, &folder.shown, &files)
    }

    fn files<'a>(&'a self, folder: &'a OpenedFolder) -> Inside<'a> {
        let held = self.held.iter();
        folder.with(held.map(|(name, bytes)| (folder.place(name), bytes.as_slice())))
    }

    /// Makes a job of chosen files, if it can be read: writes what was given into the folder, then the job
    /// file, whose path it gives.
    pub fn begin(&mut self, folder: &OpenedFolder, started: Started) -> Result<PathBuf, Failure> {
        let Started { chosen, name } = started;
        let (looks, _) = self.looks(folder);
        let field = chosen.boundary.field.clone().filter(|field| !field.trim().is_empty());
        let usual = field.unwrap_or_else(|| work::stem(Path::new(&chosen.boundary.file)));
        let called = if name.trim().is_empty() { usual } else { name };
        let file = free_name(folder, called.trim())?;
        let text = job_text(&looks, &chosen, &file).map_err(Failure::input)?;
        let path = folder.place(&file);
        let work = Work::of_file(&path, &text).map_err(Failure::input)?;
        work.prepare(&self.files(folder)).map_err(Failure::input)?;
        let real = folder.inside(&folder.shown).map_err(Failure::input)?;
        let _lock = Lock::of_folder(&real)?;
        for (name, bytes) in &self.held {
            saving::new(&real.join(name), bytes)?;
        }
        saving::new(&real.join(&file), text.as_bytes())?;
        self.held.clear();
        Ok(path)
    }
}

/// A job file's name that is free.
fn free_name(folder: &OpenedFolder, called: &str) -> Result<String, Failure> {
    let is_free = |name: &String| fs::symlink_metadata(folder.place(name)).is_err();
    let called = called.strip_suffix(".toml").unwrap_or(called);
    let plain = |letter: char| {
        if "/\\:*?\"<>|".contains(letter) || letter.is_control() { '-' } else { letter }
    };
    let called: String = called.chars().map(plain).collect();
    let called = file_name(called.trim_matches(['.', ' ']))?;
    let names = (1..1000).map(|number| match number {
        1 => format!("{called}.toml"),
        more => format!("{called}-{more}.toml"),
    });
    names.into_iter().find(is_free).ok_or_else(|| {
        Failure::Input(format!("{called}: there are a thousand jobs of this name; choose another"))
    })
}
