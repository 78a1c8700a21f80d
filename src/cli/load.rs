//! Reading what is named on the command line.

use std::path::Path;

use landplaster::read::Source;
use landplaster::work::{self, Disk, Files as _, Work};

use super::failure::Failure;

pub use landplaster::work::{name, stem};

/// A file's bytes; `what` it is for goes into the message.
pub fn bytes(what: &str, path: &Path) -> Result<Vec<u8>, Failure> {
    Disk.bytes(path).map_err(|error| Failure::input(error.of(what, path)))
}

/// A text file.
pub fn text(what: &str, path: &Path) -> Result<String, Failure> {
    work::text(&Disk, what, path).map_err(Failure::input)
}

/// The work of a job file.
pub fn job(path: &Path) -> Result<Work, Failure> {
    Work::of_file(path, &text("job file", path)?).map_err(Failure::input)
}

/// An input with its sidecars; of a folder with task data its main file.
pub fn source(what: &str, path: &Path) -> Result<Source, Failure> {
    work::source(&Disk, what, path).map_err(Failure::input)
}
