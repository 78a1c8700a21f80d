//! What is done with landplaster beside running it: `cargo xtask dist` makes a release, `cargo xtask
//! windows ...` is cargo for Windows. Both run on Debian 12.

mod archive;
mod bill;
mod dist;
mod licenses;
mod packages;
mod platform;
mod process;

use std::path::Path;
use std::process::ExitCode;

use platform::{LINUX, WINDOWS};

/// Whatever went wrong, in words.
type Fault = Box<dyn std::error::Error>;

const USAGE: &str = "\
cargo xtask dist [linux] [windows]   archives of both or one, in target/dist
cargo xtask windows ARGUMENTS        cargo for Windows: build, test, ...; what it builds runs under Wine";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match arguments.as_slice() {
        ["dist"] => dist::make(root(), &[LINUX, WINDOWS]),
        ["dist", "linux"] => dist::make(root(), &[LINUX]),
        ["dist", "windows"] => dist::make(root(), &[WINDOWS]),
        ["windows", arguments @ ..] if !arguments.is_empty() => {
            WINDOWS.cargo(root(), arguments).and_then(|mut cargo| process::done(&mut cargo))
        }
        _ => Err(USAGE.into()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("{fault}");
            ExitCode::FAILURE
        }
    }
}

/// The folder of the whole project.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or(Path::new("."))
}
