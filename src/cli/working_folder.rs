use std::path::{Path, PathBuf};

use super::failure::Failure;

/// The way from a job's folder to where the command runs.
pub fn way_from(folder: &Path) -> Result<PathBuf, Failure> {
    if folder.as_os_str().is_empty() {
        return Ok(PathBuf::new());
    }
    std::env::current_dir().map_err(|error| {
        Failure::Input(format!("the folder that the command runs in cannot be found ({error})"))
    })
}
