//! Compresses the database that PROJ was built with. Its build says nowhere where it is; it is done
//! before this one, in a folder beside.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use flate2::{Compression, GzBuilder};

/// Writes `proj.db.gz` into the build's folder.
pub fn compress(out: &Path) -> io::Result<()> {
    let builds = out.parent().and_then(Path::parent).unwrap_or(out);
    let mut found: Vec<PathBuf> = fs::read_dir(builds)?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| {
            path.file_name().is_some_and(|name| name.to_string_lossy().starts_with("proj-sys-"))
        })
        .map(|path| path.join("out/share/proj/proj.db"))
        .filter(|path| path.exists())
        .collect();
    found.sort();
    let missing =
        || io::Error::other(format!("no proj.db of PROJ's build beside {}", out.display()));
    let database = fs::read(found.first().ok_or_else(missing)?)?;
    for other in &found {
        println!("cargo::rerun-if-changed={}", other.display());
        if fs::read(other)? != database {
            return Err(io::Error::other(
                "two builds of PROJ have other databases; cargo clean -p proj-sys",
            ));
        }
    }
    // Without a name and a time: the same bytes each time.
    let file = File::create(out.join("proj.db.gz"))?;
    let mut packed = GzBuilder::new().write(file, Compression::best());
    packed.write_all(&database)?;
    packed.finish().map(|_| ())
}
