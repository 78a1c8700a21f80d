use std::io::{Cursor, Read};

use zip::ZipArchive;

use super::{Files, MAIN, MOST_BYTES, TaskDataError};

/// The most entries that are looked at.
const MOST_ENTRIES: usize = 4096;

/// The files of the folder that holds `TASKDATA.XML` in a ZIP archive; `name` is the archive's.
///
/// # Errors
/// When it is no archive, holds no task data or more than one, is encrypted, has names that lead
/// out of it, or unpacks to more than task data can be.
pub fn unpack(name: &str, bytes: &[u8]) -> Result<Files, TaskDataError> {
    let fault = |reason: String| TaskDataError::new(name, reason);
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
    let mut left = MOST_BYTES as u64;
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
        if all.iter().any(|(other, _)| other.eq_ignore_ascii_case(&path)) {
            return Err(fault(format!("found the entry {path:?} twice, in capitals or not")));
        }
        let mut content = Vec::new();
        entry
            .take(left + 1)
            .read_to_end(&mut content)
            .map_err(|error| fault(format!("entry {path:?}: {error}")))?;
        left = left.checked_sub(content.len() as u64).ok_or_else(|| {
            fault(format!(
                "it unpacks to more than {} MB, more than task data is",
                MOST_BYTES >> 20
            ))
        })?;
        all.push((path, content));
    }
    let folder_of = |path: &str| path.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned();
    let named = |path: &str| path.rsplit('/').next().is_some_and(|n| n.eq_ignore_ascii_case(MAIN));
    let mains: Vec<String> =
        all.iter().filter(|(path, _)| named(path)).map(|(path, _)| folder_of(path)).collect();
    let [folder] = mains.as_slice() else {
        return Err(fault(format!("found {} files {MAIN}, expected one", mains.len())));
    };
    let inside = all.into_iter().filter(|(path, _)| folder_of(path) == *folder);
    let name = |path: &str| path.rsplit('/').next().unwrap_or("").to_owned();
    Ok(inside.map(|(path, content)| (name(&path), content)).collect())
}

/// Whether a name stays in the archive, on every system.
fn is_plain(path: &str) -> bool {
    let bad = |c: char| matches!(c, '\\' | ':') || c.is_control();
    let inner = path.strip_suffix('/').unwrap_or(path);
    !path.contains(bad) && inner.split('/').all(|part| !matches!(part, "" | "." | ".."))
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use zip::ZipWriter;
    use zip::write::SimpleFileOptions;

    use super::*;

    fn packed(entries: &[(&str, &[u8])]) -> Vec<u8> {
        let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, content) in entries {
            archive.start_file(*name, SimpleFileOptions::default()).unwrap();
            archive.write_all(content).unwrap();
        }
        archive.finish().unwrap().into_inner()
    }

    fn said(entries: &[(&str, &[u8])]) -> String {
        unpack("a.zip", &packed(entries)).unwrap_err().to_string()
    }

    #[test]
    fn the_folder_of_the_main_file() {
        let files = unpack(
            "a.zip",
            &packed(&[
                ("readme.txt", b"x"),
                ("TASKDATA/TASKDATA.XML", b"<a/>"),
                ("TASKDATA/GRD00000.bin", b"1"),
            ]),
        );
        assert_eq!(files.unwrap().keys().collect::<Vec<_>>(), ["GRD00000.bin", "TASKDATA.XML"]);
    }

    #[test]
    fn tricks_are_refused() {
        for path in
            ["../TASKDATA.XML", "/TASKDATA.XML", "a/../../b", "C:TASKDATA.XML", "a\\b", "a//b"]
        {
            let said = said(&[("TASKDATA.XML", b"<a/>"), (path, b"x")]);
            assert!(said.contains("leads out of the archive"), "{path}: {said}");
        }
        assert_eq!(
            said(&[("TASKDATA.XML", b"<a/>"), ("taskdata.xml", b"<a/>")]),
            "a.zip: found the entry \"taskdata.xml\" twice, in capitals or not"
        );
        assert_eq!(said(&[("a.txt", b"")]), "a.zip: found 0 files TASKDATA.XML, expected one");
        assert!(
            unpack("a.zip", b"PK")
                .unwrap_err()
                .to_string()
                .starts_with("a.zip: the content is not a ZIP archive: ")
        );
    }

    /// The writer makes no two entries of one name, so the second is renamed in its bytes.
    #[test]
    fn two_main_files_are_refused() {
        let packed = packed(&[("TASKDATA.XML", b"<a/>"), ("TASKDATA.XMM", b"<b/>")]);
        let mut same = packed.clone();
        for at in 0..packed.len() - 12 {
            if &packed[at..at + 12] == b"TASKDATA.XMM" {
                same[at + 11] = b'L';
            }
        }
        assert_eq!(
            unpack("a.zip", &same).unwrap_err().to_string(),
            "a.zip: found two entries of one name, expected each once; pack it again"
        );
    }

    /// 300 MB of zeros are 300 kB of archive.
    #[test]
    fn a_bomb_is_refused() {
        let zeros = vec![0; 300 << 20];
        assert_eq!(
            said(&[("TASKDATA.XML", &zeros)]),
            "a.zip: it unpacks to more than 256 MB, more than task data is"
        );
    }
}
