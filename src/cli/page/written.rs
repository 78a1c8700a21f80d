//! What was written, as the page shows it and hands it on.

use std::io::{Cursor, Write as _};
use std::path::Path;

use landplaster::work::{Disk, Files as _, name};
use landplaster::write::{is_our_folder, is_ours};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::answer::Answer;
use crate::cli::failure::Failure;

const SHEET: &str = "sheet.html";

/// Whether a job's folder was written.
pub fn is_there(out: &Path, job: &str) -> bool {
    out.join(job).join(SHEET).is_file()
}

/// The field sheet of a job.
pub fn sheet(out: &Path, job: &str) -> Result<Answer, Failure> {
    let path = out.join(job).join(SHEET);
    let bytes =
        Disk.bytes(&path).map_err(|error| Failure::input(error.of("field sheet", &path)))?;
    Ok(Answer::of_kind("text/html; charset=utf-8", bytes))
}

/// All of a job's files, in a folder of its name, as one file: the same files give the same bytes.
pub fn archive(out: &Path, job: &str) -> Result<Answer, Failure> {
    let folder = out.join(job);
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    let mut take = |inner: String| {
        let path = folder.join(&inner);
        if path.is_file() && is_ours(&inner) {
            let bytes =
                Disk.bytes(&path).map_err(|error| Failure::input(error.of("file", &path)))?;
            files.push((inner, bytes));
        }
        Ok::<(), Failure>(())
    };
    for path in Disk.folder(&folder) {
        let own = name(&path);
        take(own.clone())?;
        if is_our_folder(&own) {
            Disk.folder(&path)
                .iter()
                .try_for_each(|inner| take(format!("{own}/{}", name(inner))))?;
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(Failure::Input("nothing was written yet; write the plan first".to_owned()));
    }
    let bytes = zipped(job, &files).map_err(|error| Failure::Ours(error.to_string()))?;
    Ok(Answer::file("application/zip", format!("{job}.zip"), bytes))
}

fn zipped(job: &str, files: &[(String, Vec<u8>)]) -> zip::result::ZipResult<Vec<u8>> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    for (name, bytes) in files {
        archive.start_file(format!("{job}/{name}"), options)?;
        archive.write_all(bytes)?;
    }
    Ok(archive.finish()?.into_inner())
}
