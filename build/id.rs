//! What tells one build from another: a hash of all that the program is made from. No clock and no
//! path on this machine goes in, so the same sources have the same id wherever they are built.

use std::path::{Path, PathBuf};
use std::{fs, io};

use sha2::{Digest, Sha256};

/// What the program is made from; what is not there is passed over.
pub const SOURCES: [&str; 6] =
    ["Cargo.lock", "Cargo.toml", "askama.toml", "build", "build.rs", "src"];

/// The id of the sources under `root`, built with `settings`: 16 hexadecimal digits.
pub fn of(root: &Path, settings: &[String]) -> io::Result<String> {
    let mut files = Vec::new();
    for source in SOURCES {
        gather(root, Path::new(source), &mut files)?;
    }
    files.sort();
    let mut hash = Sha256::new();
    let mut part = |bytes: &[u8]| {
        // The length before the bytes: no two lists of parts run together to the same.
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    for (name, path) in files {
        part(name.as_bytes());
        part(&fs::read(path)?);
    }
    for setting in settings {
        part(setting.as_bytes());
    }
    let first: u64 =
        hash.finalize().iter().take(8).fold(0, |id, byte| (id << 8) | u64::from(*byte));
    Ok(format!("{first:016x}"))
}

/// The files at a place, each with its name by parts and `/`, as every system has it.
fn gather(root: &Path, place: &Path, files: &mut Vec<(String, PathBuf)>) -> io::Result<()> {
    let full = root.join(place);
    if full.is_dir() {
        for entry in fs::read_dir(&full)? {
            gather(root, &place.join(entry?.file_name()), files)?;
        }
    } else if full.is_file() {
        let parts: Vec<_> = place.iter().map(|part| part.to_string_lossy()).collect();
        files.push((parts.join("/"), full));
    }
    Ok(())
}
