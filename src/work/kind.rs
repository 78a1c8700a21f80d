//! What stands at a path, for messages.

use std::fs::Metadata;

/// What something is. A link is one only by metadata that were not followed.
#[must_use]
pub fn kind(found: &Metadata) -> &'static str {
    if found.is_symlink() {
        "a link"
    } else if found.is_dir() {
        "a folder"
    } else if found.is_file() {
        "a file"
    } else {
        "a pipe or a device"
    }
}
