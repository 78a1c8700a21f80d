//! Starting from nothing: files that are dropped on the page or lie in the folder, and the job that is
//! made of them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use landplaster::page::{Chosen, Understood, job_text, look_into};
use landplaster::read::FileLook;
use landplaster::work::{self, Disk, Files as _, Work, readable};
use serde::Deserialize;

use super::answer::Answer;
use super::desk::Desk;
use super::folder::file_name;
use super::job::OpenJob;
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

impl Desk {
    /// Takes a file. It is written into the folder when a job is made of it, and only where there is none
    /// of its name.
    pub fn upload(&mut self, name: &str, bytes: Vec<u8>) -> Result<Answer, Failure> {
        let name = file_name(name)?;
        let place = self.folder.place(name);
        if fs::symlink_metadata(&place).is_ok() {
            let same = Disk.bytes(&place).is_ok_and(|there| there == bytes);
            if !same {
                return Err(Failure::Input(format!(
                    "{name}: another file of this name is in the folder already, and nothing is overwritten; rename yours, or use the one that is there"
                )));
            }
        } else {
            let held = &mut self.start.held;
            let others = held.iter().filter(|(other, _)| *other != name).map(|(_, bytes)| bytes.len());
            if held.len() >= MOST_FILES || others.sum::<usize>() + bytes.len() > MOST_BYTES {
                return Err(Failure::Input(format!(
                    "{name}: found more than {MOST_FILES} files or {} MB in all, expected those of one field; end the page and begin again",
                    MOST_BYTES >> 20
                )));
            }
            held.insert(name.to_owned(), bytes);
        }
        self.state()
    }

    /// What was understood of the files that are there.
    pub(super) fn understood(&self) -> Understood {
        let (looks, seen) = self.looks();
        Understood::new(&looks, &seen)
    }

    fn looks(&self) -> (Vec<(PathBuf, FileLook)>, landplaster::folder_contents::FolderContents) {
        let files = self.inside_with_held();
        let readable = readable(&self.folder.shown, &files);
        let names: Vec<String> =
            readable.iter().take(MOST_LOOKED).map(|path| work::name(path)).collect();
        look_into(&names, &self.folder.shown, &files)
    }

    fn inside_with_held(&self) -> super::folder::Inside<'_> {
        let held = self.start.held.iter();
        self.folder.with(held.map(|(name, bytes)| (self.folder.place(name), bytes.as_slice())))
    }

    /// Makes a job of chosen files, if it can be planned: writes what was given into the folder, then the
    /// job file, and opens it.
    pub fn start(&mut self, started: Started) -> Result<Answer, Failure> {
        let Started { chosen, name } = started;
        let (looks, _) = self.looks();
        let field = chosen.boundary.field.clone().filter(|field| !field.trim().is_empty());
        let usual = field.unwrap_or_else(|| work::stem(Path::new(&chosen.boundary.file)));
        let called = if name.trim().is_empty() { usual } else { name };
        let file = self.free_name(called.trim())?;
        let text = job_text(&looks, &chosen, &file).map_err(Failure::input)?;
        let path = self.folder.place(&file);
        let work = Work::of_file(&path, &text).map_err(Failure::input)?;
        work.prepare(&self.inside_with_held()).map_err(Failure::input)?;
        {
            let folder = self.folder.inside(&self.folder.shown).map_err(Failure::input)?;
            let _lock = Lock::of_folder(&folder)?;
            for (name, bytes) in &self.start.held {
                saving::new(&folder.join(name), bytes)?;
            }
            saving::new(&folder.join(&file), text.as_bytes())?;
        }
        self.start = super::start::Start::default();
        self.job = Some(OpenJob::open(&self.folder, &path, None)?);
        self.state()
    }

    /// A job file's name that is free.
    fn free_name(&self, called: &str) -> Result<String, Failure> {
        let is_free = |name: &String| fs::symlink_metadata(self.folder.place(name)).is_err();
        let called = called.strip_suffix(".toml").unwrap_or(called);
        let plain = |letter: char| if "/\\:*?\"<>|".contains(letter) || letter.is_control() { '-' } else { letter };
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
}
