//! A fuzzed input as the files that it stands for.
//!
//! Each file begins with a line `==== its name`. Files within an archive have its name before theirs,
//! as in `book.xlsx/xl/workbook.xml`: the archive is packed here, so that what is in it can be changed.

use std::collections::BTreeMap;
use std::io::{Cursor, Write as _};

use landplaster::work::Memory;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

const MARK: &[u8] = b"==== ";
const ARCHIVES: [&str; 4] = [".xlsx/", ".ods/", ".kmz/", ".zip/"];

/// Files by name, in order.
pub fn parts(data: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut parts: Vec<(String, Vec<u8>)> = Vec::new();
    let mut rest = data;
    while let Some(start) = find(rest, MARK) {
        let after = rest.get(start + MARK.len()..).unwrap_or_default();
        let line = find(after, b"\n").unwrap_or(after.len());
        let (name, content) = after.split_at(line);
        let content = content.get(1..).unwrap_or_default();
        let end = find(content, b"\n==== ").map_or(content.len(), |at| at + 1);
        let name = String::from_utf8_lossy(name.get(..name.len().min(80)).unwrap_or_default());
        let whole = end == content.len();
        let bytes = content.get(..if whole { end } else { end - 1 }).unwrap_or_default();
        parts.push((name.into_owned(), bytes.to_vec()));
        rest = content.get(end..).unwrap_or_default();
    }
    packed(parts)
}

/// All files, and the name of the first.
pub fn folder(data: &[u8]) -> Option<(Memory, String)> {
    let parts = parts(data);
    let first = parts.first()?.0.clone();
    let mut files = Memory::default();
    for (name, bytes) in parts {
        files.put(name, bytes);
    }
    Some((files, first))
}

fn packed(parts: Vec<(String, Vec<u8>)>) -> Vec<(String, Vec<u8>)> {
    let mut archives: BTreeMap<String, Vec<(String, Vec<u8>)>> = BTreeMap::new();
    let mut loose: Vec<(String, Vec<u8>)> = Vec::new();
    for (name, bytes) in parts {
        let inside = ARCHIVES.iter().find_map(|ending| {
            let (stem, inner) = name.split_once(ending)?;
            Some((format!("{stem}{}", ending.trim_end_matches('/')), inner.to_owned()))
        });
        match inside {
            None => loose.push((name, bytes)),
            Some((archive, inner)) => {
                if !archives.contains_key(&archive) {
                    loose.push((archive.clone(), Vec::new()));
                }
                archives.entry(archive).or_default().push((inner, bytes));
            }
        }
    }
    for (name, bytes) in &mut loose {
        if let Some(entries) = archives.remove(name) {
            *bytes = archive(entries);
        }
    }
    loose
}

/// Entries with names that the writer refuses, such as one that is there already, are left out.
fn archive(entries: Vec<(String, Vec<u8>)>) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for (name, bytes) in entries {
        if writer.start_file(name, stored).is_ok() {
            writer.write_all(&bytes).expect("into memory");
        }
    }
    writer.finish().map(Cursor::into_inner).unwrap_or_default()
}

fn find(within: &[u8], what: &[u8]) -> Option<usize> {
    within.windows(what.len()).position(|window| window == what)
}
