//! Reading the text files that were named on the command line.

use std::path::Path;

use super::failure::Failure;

/// A file's text.
pub fn text(path: &Path) -> Result<String, Failure> {
    let place = path.display();
    let bytes = std::fs::read(path).map_err(|error| {
        Failure::Input(format!("{place}: cannot be read ({error}); check its name"))
    })?;
    String::from_utf8(bytes).map_err(|_| {
        Failure::Input(format!(
            "{place}: found bytes that are not UTF-8, expected text; save it as UTF-8"
        ))
    })
}

/// A file's name without its folder.
pub fn name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// A file's name without folder and ending.
pub fn stem(path: &Path) -> String {
    path.file_stem().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}
