//! What is in a ZIP archive, taken with care.

use std::io::{Cursor, Read};

use zip::ZipArchive;

/// The most entries that are looked at.
const MOST_ENTRIES: usize = 4096;

/// The files of a ZIP archive that are `wanted` by their path, with their paths, in the archive's
/// order; what they unpack to in all is at most `most` bytes.
///
/// # Errors
/// When it is no archive, has too many entries, is encrypted, has names that lead out of it or come
/// twice, or unpacks to more. The reason is given without the archive's name.
pub(super) fn unpack(
    bytes: &[u8],
    most: usize,
    wanted: impl Fn(&str) -> bool,
) -> Result<Vec<(String, Vec<u8>)>, ArchiveFault> {
    let fault = ArchiveFault::Other;
    let mut archive = ZipArchive::new(Cursor::new(bytes))
        .map_err(|error| fault(format!("the content is not a ZIP archive: {error}")))?;
    if archive.len() > MOST_ENTRIES {
        let found = archive.len();
        return Err(fault(format!("found {found} entries, expected at most {MOST_ENTRIES}")));
    }
    // Of two entries with the very same name the archive shows one.
    if archive.has_duplicate_names() {
        let reason = "found two entries of one name, expected each once; pack it again";
        return Err(fault(reason.to_owned()));
    }
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    let mut names = std::collections::BTreeSet::new();
    let mut left = most as u64;
    for number in 0..archive.len() {
        let entry = archive
            .by_index(number)
            .map_err(|error| fault(format!("entry {}: {error}", number + 1)))?;
        let path = entry.name().map_err(|error| fault(format!("entry {}: {error}", number + 1)))?;
        let path = path.into_owned();
        if !is_plain(&path) || entry.is_symlink() {
            return Err(fault(format!(
                "found the entry {path:?}, which leads out of the archive or elsewhere in it; do not unpack it"
            )));
        }
        if entry.is_dir() {
            continue;
        }
        if !names.insert(path.to_lowercase()) {
            return Err(fault(format!("found the entry {path:?} twice, in capitals or not")));
        }
        if !wanted(&path) {
            continue;
        }
        let mut content = Vec::new();
        entry
            .take(left + 1)
            .read_to_end(&mut content)
            .map_err(|error| fault(format!("entry {path:?}: {error}")))?;
        left = left.checked_sub(content.len() as u64).ok_or(ArchiveFault::TooLarge)?;
        all.push((path, content));
    }
    Ok(all)
}

/// The names of a ZIP archive's entries; `None` where it is none.
pub(super) fn names(bytes: &[u8]) -> Option<Vec<String>> {
    let archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
    Some(archive.file_names().filter_map(|name| Some(name.ok()?.into_owned())).collect())
}

/// Why an archive cannot be unpacked.
#[derive(Debug)]
pub(super) enum ArchiveFault {
    /// It unpacks to more than it may.
    TooLarge,
    /// Something else, in words.
    Other(String),
}

/// Whether a name stays in the archive, on every system.
fn is_plain(path: &str) -> bool {
    let bad = |c: char| matches!(c, '\\' | ':') || c.is_control();
    let inner = path.strip_suffix('/').unwrap_or(path);
    !path.contains(bad) && inner.split('/').all(|part| !matches!(part, "" | "." | ".."))
}
