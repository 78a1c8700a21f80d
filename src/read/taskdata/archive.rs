use super::{Files, MAIN, MOST_BYTES, TaskDataError};
use crate::read::archive::{self, ArchiveFault};

/// The files of the folder that holds `TASKDATA.XML` in a ZIP archive; `name` is the archive's.
///
/// # Errors
/// When it is no archive, holds no task data or more than one, is encrypted, has names that lead
/// out of it, or unpacks to more than task data can be.
pub fn unpack(name: &str, bytes: &[u8]) -> Result<Files, TaskDataError> {
    let fault = |reason: String| TaskDataError::new(name, reason);
    let all = archive::unpack(bytes, MOST_BYTES, |_| true).map_err(|error| match error {
        ArchiveFault::Other(reason) => fault(reason),
        ArchiveFault::TooLarge => fault(format!(
            "it unpacks to more than {} MB, more than task data is",
            MOST_BYTES >> 20
        )),
    })?;
    folder(name, all)
}

/// Of the files of an archive those of the folder that holds `TASKDATA.XML`.
///
/// # Errors
/// When there is none, or more than one.
pub(in crate::read) fn folder(
    name: &str,
    all: Vec<(String, Vec<u8>)>,
) -> Result<Files, TaskDataError> {
    let fault = |reason: String| TaskDataError::new(name, reason);
    let folder_of = |path: &str| path.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned();
    let mains: Vec<String> =
        all.iter().filter(|(path, _)| is_main(path)).map(|(path, _)| folder_of(path)).collect();
    let [folder] = mains.as_slice() else {
        return Err(fault(format!("found {} files {MAIN}, expected one", mains.len())));
    };
    let inside = all.into_iter().filter(|(path, _)| folder_of(path) == *folder);
    let name = |path: &str| path.rsplit('/').next().unwrap_or("").to_owned();
    Ok(inside.map(|(path, content)| (name(&path), content)).collect())
}

/// Whether a ZIP archive is to be read as task data: it has its main file, or no shapefile.
#[must_use]
pub fn is_in(bytes: &[u8]) -> bool {
    let names = archive::names(bytes).unwrap_or_default();
    let is_shapefile = |path: &String| path.to_lowercase().ends_with(".shp");
    names.iter().any(|path| is_main(path)) || !names.iter().any(is_shapefile)
}

/// Whether a ZIP archive has the main file of task data.
#[must_use]
pub fn has_main(bytes: &[u8]) -> bool {
    archive::names(bytes).unwrap_or_default().iter().any(|path| is_main(path))
}

/// Whether a path in an archive is that of task data's main file.
pub(in crate::read) fn is_main(path: &str) -> bool {
    path.rsplit('/').next().is_some_and(|name| name.eq_ignore_ascii_case(MAIN))
}

#[cfg(test)]
mod tests {
    use std::io::{Cursor, Write};

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
