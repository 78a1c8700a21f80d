use std::io::{Cursor, Write};

use zip::result::ZipResult;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, System, ZipWriter};

use super::FOLDER;

/// The folder as a ZIP archive. All entries have the earliest time that the format knows, so that
/// the same task gives the same bytes; on every system they are said to be made on the same one.
pub fn bytes(members: &[(String, Vec<u8>)]) -> ZipResult<Vec<u8>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default())
        .system(System::Unix);
    for (name, content) in members {
        archive.start_file(format!("{FOLDER}/{name}"), options)?;
        archive.write_all(content)?;
    }
    Ok(archive.finish()?.into_inner())
}
