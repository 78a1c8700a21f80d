//! ISO 11783-10 task data: the files of a folder or an archive, and the elements of their XML.
//!
//! What could be meant to do harm is refused: entities and document types, archives that unpack to
//! more than task data ever is, names that lead out of the folder.

mod archive;
mod element;
mod external;
mod field;
mod kinds;
mod root;

use std::collections::BTreeMap;

pub(super) use archive::{folder as of_archive, is_main};
pub use archive::{has_main, is_in, unpack};
pub use element::{Element, parse};
pub use external::merge_external;
pub(super) use field::{FORMAT, records};
pub(super) use root::root;

/// The files of one task-data folder, by name.
pub type Files = BTreeMap<String, Vec<u8>>;

/// The most that the files of a task come to, in bytes, and the most of one of them: a grid of ten
/// million cells has 40 MB.
pub const MOST_BYTES: usize = 256 << 20;

/// The outermost element of the main file.
pub const ROOT: &str = "ISO11783_TaskData";

/// The main file's name.
pub const MAIN: &str = "TASKDATA.XML";

/// Why task data cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {reason}")]
pub struct TaskDataError {
    /// The file.
    pub place: String,
    /// What was found and expected.
    pub reason: String,
}

impl TaskDataError {
    /// An error in a file.
    #[must_use]
    pub fn new(place: &str, reason: impl Into<String>) -> Self {
        Self { place: place.to_owned(), reason: reason.into() }
    }
}

/// What the elements of an XML file take in memory, in times its size, as the budget counts.
pub(super) const TREE: usize = 4;

/// A file by its name in any case, and the name that it has.
#[must_use]
pub fn find<'a>(files: &'a Files, name: &str) -> Option<(&'a str, &'a [u8])> {
    let found = files
        .get_key_value(name)
        .or_else(|| files.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)));
    found.map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
}
