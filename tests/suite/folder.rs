//! A fresh folder for each test that runs the program, removed afterwards.

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use tempfile::TempDir;

pub use crate::planned::{FIELD, JOB, SAMPLES};

/// What the program said.
pub struct Said {
    pub code: i32,
    pub out: String,
    pub err: String,
}

pub struct Folder(TempDir);

impl Folder {
    pub fn empty() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    /// A folder with the smallest job and its two files.
    pub fn with_job() -> Self {
        let folder = Self::empty();
        folder.put("job.toml", JOB).put("field.geojson", FIELD).put("samples.csv", SAMPLES);
        folder
    }

    pub fn path(&self) -> &Path {
        self.0.path()
    }

    pub fn put(&self, name: &str, content: impl AsRef<[u8]>) -> &Self {
        fs::write(self.path().join(name), content).unwrap();
        self
    }

    pub fn copy(&self, from: &Path) -> &Self {
        self.put(&from.file_name().unwrap().to_string_lossy(), fs::read(from).unwrap())
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path().join(name)).unwrap()
    }

    /// Runs the program in the folder.
    pub fn run(&self, arguments: &[&str]) -> Said {
        self.run_with(arguments, &[])
    }

    pub fn run_with(&self, arguments: &[&str], variables: &[(&str, &str)]) -> Said {
        let mut command = Command::cargo_bin("landplaster").unwrap();
        command.current_dir(self.path()).args(arguments).envs(variables.iter().copied());
        let output = command.output().unwrap();
        Said {
            code: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    /// The names of what a folder in it holds.
    pub fn files_named(&self, folder: &str) -> Vec<String> {
        let entries = fs::read_dir(self.path().join(folder)).unwrap();
        let mut names: Vec<String> = entries
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    /// Every file of a folder in it, by name.
    pub fn files(&self, folder: &str) -> Vec<(String, Vec<u8>)> {
        let mut files: Vec<(String, Vec<u8>)> = fs::read_dir(self.path().join(folder))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .map(|path| {
                (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(&path).unwrap())
            })
            .collect();
        files.sort();
        files
    }
}

/// A file of the demo farm.
pub fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-farm").join(name)
}
