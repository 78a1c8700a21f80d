//! How the program is built for a system, so that it runs wherever it is unpacked: everything that it
//! needs is in it, and nothing of the machine that it was built on.

use std::env;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::{Fault, process};

/// A library of Debian that is built in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Library {
    /// What it is called.
    pub name: &'static str,
    /// The package that has its license.
    pub package: &'static str,
    /// Its license, in SPDX's terms.
    pub license: &'static str,
}

/// A system that the program is built for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Platform {
    /// Rust's name of it.
    pub target: &'static str,
    /// What an archive for it is called after.
    pub name: &'static str,
    /// What the program's file ends in.
    pub ending: &'static str,
    /// What is built in besides crates.
    pub libraries: &'static [Library],
}

/// That of GCC's libraries.
const GCC: &str = "GPL-3.0-or-later WITH GCC-exception-3.1";

/// Static with glibc: one file for every distribution, musl's too.
pub const LINUX: Platform = Platform {
    target: "x86_64-unknown-linux-gnu",
    name: "x86_64-linux",
    ending: "",
    libraries: &[
        Library { name: "glibc", package: "libc6-dev", license: "LGPL-2.1-or-later" },
        Library { name: "libstdc++ and libgcc", package: "libstdc++-12-dev", license: GCC },
    ],
};

/// Built by MinGW-w64 and run by Wine, both of Debian.
pub const WINDOWS: Platform = Platform {
    target: "x86_64-pc-windows-gnu",
    name: "x86_64-windows",
    ending: ".exe",
    libraries: &[
        Library {
            name: "MinGW-w64 and winpthreads",
            package: "mingw-w64-x86-64-dev",
            license: "ZPL-2.1 AND MIT",
        },
        Library { name: "libstdc++ and libgcc", package: "gcc-mingw-w64-base", license: GCC },
    ],
};

impl Platform {
    /// Cargo for this system, with a build folder of its own.
    pub fn cargo(self, root: &Path, arguments: &[&str]) -> Result<Command, Fault> {
        let (command, rest) = arguments.split_first().ok_or("cargo: no command")?;
        let (cargo, builds_std) = self.toolchain()?;
        let mut build = Command::new(cargo);
        build.current_dir(root).arg(command).args(["--target", self.target]);
        if builds_std {
            build.arg("-Zbuild-std=std,panic_abort,panic_unwind").env("RUSTC_BOOTSTRAP", "1");
            build.env("RUSTC", "/usr/bin/rustc").env("RUSTDOC", "/usr/bin/rustdoc");
        }
        build.args(rest);
        let folder = root.join("target").join(self.name);
        let variable = |name: &str| format!("{name}_{}", self.target.replace('-', "_"));
        let upper = |name: &str| {
            format!("CARGO_TARGET_{}_{name}", self.target.replace('-', "_").to_uppercase())
        };
        // The C++ library goes into the program too.
        let compiler = if self == WINDOWS { "x86_64-w64-mingw32-g++-posix" } else { "g++" };
        let library = process::said(Command::new(compiler).arg("-print-file-name=libstdc++.a"))?;
        let beside = Path::new(library.trim()).parent().unwrap_or(Path::new("")).display();
        build.env(variable("CXXSTDLIB"), "static:-bundle=stdc++");
        // What the compilers write into the program about where it was built.
        let places = [(root.to_owned(), "landplaster"), (cargo_home(), "cargo")];
        let maps = |option: &str| {
            places
                .iter()
                .map(|(from, to)| format!("{option}={}=/{to}", from.display()))
                .collect::<Vec<_>>()
        };
        let mut flags =
            vec!["-Ctarget-feature=+crt-static".to_owned(), format!("-Lnative={beside}")];
        flags.extend(maps("--remap-path-prefix"));
        if self == WINDOWS {
            flags.push("-Clink-arg=-static".to_owned());
            // A program's time of linking is another each time.
            flags.push("-Clink-arg=-Wl,--no-insert-timestamp".to_owned());
            build.env(upper("LINKER"), "x86_64-w64-mingw32-g++-posix");
            build.env(upper("RUNNER"), root.join("xtask/wine"));
            build.env(variable("CC"), "x86_64-w64-mingw32-gcc-posix");
            build.env(variable("CXX"), "x86_64-w64-mingw32-g++-posix");
            build.env(variable("AR"), "x86_64-w64-mingw32-ar");
        }
        build.env(upper("RUSTFLAGS"), flags.join(" "));
        let c = maps("-ffile-prefix-map").join(" ");
        build.env(variable("CFLAGS"), &c).env(variable("CXXFLAGS"), &c);
        let toolchain = root.join("xtask/cmake").join(format!("{}.cmake", self.name));
        build.env(variable("CMAKE_TOOLCHAIN_FILE"), toolchain);
        build.env("CARGO_TARGET_DIR", folder);
        for unset in ["RUSTFLAGS", "CARGO_ENCODED_RUSTFLAGS", "CARGO", "CARGO_MANIFEST_DIR"] {
            build.env_remove(unset);
        }
        Ok(build)
    }

    /// Cargo, and whether it builds Rust's library along: where none is there for this system, Debian's
    /// Rust has its source (`rust-web-src`).
    fn toolchain(self) -> Result<(OsString, bool), Fault> {
        let usual = env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let mut rustc = Command::new("rustc");
        rustc.args(["--print", "target-libdir", "--target", self.target]);
        let library = process::said(&mut rustc).map(|path| PathBuf::from(path.trim()));
        if library.is_ok_and(|library| library.is_dir()) {
            return Ok((usual, false));
        }
        let debian = Path::new("/usr/lib/rustlib/src/rust/library");
        if debian.exists() {
            return Ok(("/usr/bin/cargo".into(), true));
        }
        let target = self.target;
        Err(format!(
            "no Rust library for {target}: rustup target add {target}, or on Debian 12 apt-get install cargo-web rust-web-src mingw-w64 wine64"
        )
        .into())
    }
}

fn cargo_home() -> PathBuf {
    let home = env::var_os("CARGO_HOME").map(PathBuf::from);
    home.unwrap_or_else(|| PathBuf::from(env::var_os("HOME").unwrap_or_default()).join(".cargo"))
}
