//! Gives the program its build id, by which it knows what another build made.

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
    settings.push(env::var("TARGET").unwrap_or_default());
    println!("cargo::rustc-env=LANDPLASTER_BUILD={}", id::of(Path::new(&root), &settings)?);
    Ok(())
}
