//! A release: an archive for each system, and their hashes. The same commit gives the same bytes.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use sha2::{Digest, Sha256};

use crate::archive::{self, File};
use crate::platform::{LINUX, Platform};
use crate::{Fault, bill, licenses, packages, process};

/// What stands in the archive as it stands in the project.
const TAKEN: [&str; 5] = ["CHANGELOG.md", "LICENSE", "README.md", "demo-farm", "docs"];

/// Makes the archives of some systems in `target/dist`.
pub fn make(root: &Path, platforms: &[Platform]) -> Result<(), Fault> {
    let out = root.join("target/dist");
    fs::create_dir_all(&out)?;
    let time = commit_time(root)?;
    let taken = taken(root)?;
    // Manual pages and completions are what the program says of itself, on the system that it is built on.
    let here = build(root, LINUX)?;
    let help = help_files(&here, &out)?;
    for &platform in platforms {
        let program = if platform == LINUX { here.clone() } else { build(root, platform)? };
        let built_in = packages::built_in(root, platform.target)?;
        let version =
            &built_in.iter().find(|one| one.name == "landplaster").ok_or("no version")?.version;
        let mut files = [taken.clone(), help.clone()].concat();
        let text = |name: &str, text: String| File {
            name: name.to_owned(),
            bytes: text.into_bytes(),
            runs: false,
        };
        files.push(text("LICENSES.txt", licenses::of_all(&built_in, platform.libraries)?));
        files.push(text(
            "sbom.cdx.json",
            bill::of_materials(&built_in, version, platform.libraries)?,
        ));
        let name = format!("landplaster{}", platform.ending);
        files.push(File { name, bytes: fs::read(&program)?, runs: true });
        let stem = format!("landplaster-{version}-{}", platform.name);
        for file in &mut files {
            file.name = format!("{stem}/{}", file.name);
        }
        files.sort();
        let (name, bytes) = match platform {
            LINUX => (format!("{stem}.tar.gz"), archive::tar_gz(&files, time)?),
            _ => (format!("{stem}.zip"), archive::zip(&files)?),
        };
        fs::write(out.join(&name), &bytes)?;
        println!(
            "{name}: {} bytes, the program {} bytes",
            bytes.len(),
            fs::metadata(&program)?.len()
        );
    }
    let sums = sums(&out)?;
    print!("{sums}");
    Ok(fs::write(out.join("SHA256SUMS"), sums)?)
}

/// The hashes of all archives there, as `sha256sum -c` reads them.
fn sums(out: &Path) -> Result<String, Fault> {
    let mut names: Vec<PathBuf> = fs::read_dir(out)?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<_, _>>()?;
    names.retain(|path| path.extension().is_some_and(|ending| ending == "gz" || ending == "zip"));
    names.sort();
    let mut sums = String::new();
    for path in names {
        for byte in Sha256::digest(fs::read(&path)?) {
            write!(sums, "{byte:02x}")?;
        }
        writeln!(sums, "  {}", path.file_name().unwrap_or_default().to_string_lossy())?;
    }
    Ok(sums)
}

/// When the commit was made, in seconds since 1970.
fn commit_time(root: &Path) -> Result<u64, Fault> {
    Ok(git(root, &["log", "-1", "--format=%ct"])?.trim().parse()?)
}

/// Builds the program, and says where it is.
fn build(root: &Path, platform: Platform) -> Result<PathBuf, Fault> {
    let arguments = [
        ["build", "--locked"],
        ["--profile", "dist"],
        ["--package", "landplaster"],
        ["--features", "compressed-proj"],
    ];
    let mut build = platform.cargo(root, arguments.as_flattened())?;
    // What C would write down as the time of its build.
    build.env("SOURCE_DATE_EPOCH", commit_time(root)?.to_string());
    process::done(build.env("LANDPLASTER_DATABASE_APART", "1"))?;
    let folder = root.join("target").join(platform.name).join(platform.target).join("dist");
    Ok(folder.join(format!("landplaster{}", platform.ending)))
}

fn help_files(program: &Path, out: &Path) -> Result<Vec<File>, Fault> {
    let folder = out.join("help-files");
    if folder.exists() {
        fs::remove_dir_all(&folder)?;
    }
    process::done(Command::new(program).arg("help-files").arg("--out").arg(&folder))?;
    let mut files = Vec::new();
    for part in ["completions", "man"] {
        for entry in fs::read_dir(folder.join(part))? {
            let entry = entry?;
            let name = format!("{part}/{}", entry.file_name().to_string_lossy());
            files.push(File { name, bytes: fs::read(entry.path())?, runs: false });
        }
    }
    fs::remove_dir_all(&folder)?;
    Ok(files)
}

/// The files that the project keeps; not what was made beside them.
fn taken(root: &Path) -> Result<Vec<File>, Fault> {
    let names = git(root, &[&["ls-files", "-z"], TAKEN.as_slice()].concat())?;
    let names = names.split('\0').filter(|name| !name.is_empty());
    names
        .map(|name| {
            Ok(File { name: name.to_owned(), bytes: fs::read(root.join(name))?, runs: false })
        })
        .collect()
}

fn git(root: &Path, arguments: &[&str]) -> Result<String, Fault> {
    process::said(Command::new("git").current_dir(root).args(arguments))
}
