//! Writing single files: each appears whole or not at all.

use std::fs;
use std::io::Write;
use std::path::Path;

use super::failure::Failure;

/// Writes files into a folder, which is made if need be; says the names of those written.
pub fn all(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    fs::create_dir_all(folder).map_err(|error| {
        let place = folder.display();
        Failure::Write(format!(
            "{place}: cannot be made ({error}); choose another folder with --out"
        ))
    })?;
    for (name, bytes) in files {
        one(&folder.join(name), bytes)?;
    }
    Ok(())
}

/// Writes a file beside its place and then moves it there.
pub fn one(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let beside = path.with_file_name(format!(".{name}.{}.new", std::process::id()));
    let written = fs::File::create(&beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&beside, path)
    });
    written.map_err(|error| {
        // Nothing may be left beside it; if even that fails, the first error says more.
        let _ = fs::remove_file(&beside);
        let place = path.display();
        Failure::Write(format!(
            "{place}: cannot be written ({error}); check the folder and its rights"
        ))
    })
}
