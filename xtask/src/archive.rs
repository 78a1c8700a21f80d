//! Archives that are the same bytes whenever they are made: entries in order, one time for all, and
//! nobody's name.

use std::io::{Cursor, Write};

use flate2::{Compression, GzBuilder};
use tar::{Builder, EntryType, Header};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use crate::Fault;

/// A file of an archive.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct File {
    /// Its path with `/`.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
    /// Whether it is a program.
    pub runs: bool,
}

/// A tar of files, compressed; `time` is in seconds since 1970.
pub fn tar_gz(files: &[File], time: u64) -> Result<Vec<u8>, Fault> {
    let gz = GzBuilder::new().mtime(0).write(Vec::new(), Compression::best());
    let mut tar = Builder::new(gz);
    for File { name, bytes, runs } in files {
        let mut header = Header::new_ustar();
        header.set_entry_type(EntryType::Regular);
        header.set_mode(if *runs { 0o755 } else { 0o644 });
        header.set_size(bytes.len() as u64);
        header.set_mtime(time);
        tar.append_data(&mut header, name, bytes.as_slice())?;
    }
    Ok(tar.into_inner()?.finish()?)
}

/// A zip of files. Its times have no zone and no odd seconds: all are 1980.
pub fn zip(files: &[File]) -> Result<Vec<u8>, Fault> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for File { name, bytes, runs } in files {
        let options = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Deflated)
            .compression_level(Some(9))
            .last_modified_time(DateTime::default())
            .unix_permissions(if *runs { 0o755 } else { 0o644 });
        zip.start_file(name, options)?;
        zip.write_all(bytes)?;
    }
    Ok(zip.finish()?.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_files_make_the_same_archives() -> Result<(), Fault> {
        let file = |name: &str, runs| File { name: name.to_owned(), bytes: vec![b'a'; 999], runs };
        let files = [file("a/b", true), file("a/c.txt", false)];
        assert_eq!(tar_gz(&files, 9)?, tar_gz(&files, 9)?);
        assert_eq!(zip(&files)?, zip(&files)?);
        let gz = tar_gz(&files, 9)?;
        let mut tar = tar::Archive::new(flate2::read::GzDecoder::new(gz.as_slice()));
        let mut modes = Vec::new();
        for entry in tar.entries()? {
            let entry = entry?;
            modes.push((entry.path()?.display().to_string(), entry.header().mode()?));
        }
        assert_eq!(modes, [("a/b".to_owned(), 0o755), ("a/c.txt".to_owned(), 0o644)]);
        Ok(())
    }
}
