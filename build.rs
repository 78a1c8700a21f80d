//! Gives the program its build id, by which it knows what another build made.

#[cfg(feature = "compressed-proj")]
#[path = "build/database.rs"]
mod database;
#[path = "build/id.rs"]
mod id;

use std::path::Path;
use std::{env, io};

fn main() -> io::Result<()> {
    for source in id::SOURCES {
        println!("cargo::rerun-if-changed={source}");
    }
    let root = env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default();
    let features =
        env::vars().map(|(name, _)| name).filter(|name| name.starts_with("CARGO_FEATURE_"));
    let mut settings: Vec<String> = features.collect();
    settings.sort();
    // The system is none of it: on all systems a processor makes the same of the same.
    settings.push(env::var("CARGO_CFG_TARGET_ARCH").unwrap_or_default());
    if env::var_os("CARGO_CFG_WINDOWS").is_some() {
        // PROJ asks it where the user's folders are; nothing else of a test does.
        println!("cargo::rustc-link-arg=-lshell32");
    }
    #[cfg(feature = "compressed-proj")]
    database::compress(Path::new(&env::var_os("OUT_DIR").unwrap_or_default()))?;
    println!("cargo::rustc-env=LANDPLASTER_BUILD={}", id::of(Path::new(&root), &settings)?);
    Ok(())
}
