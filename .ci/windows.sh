#!/usr/bin/env bash
# Builds the program for Windows and runs it there, by Wine: the tests, and whatever the demo farm makes, which
# must be the same bytes as here. As root on Debian 12 with Rust, after `cargo build --release`:
#     bash .ci/windows.sh
# Nothing is kept outside target/.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

step() { printf '\n== windows: %s (%s s)\n' "$*" "$SECONDS"; }

step 'system packages'
export DEBIAN_FRONTEND=noninteractive
apt-get install -y -q --no-install-recommends \
    cargo-web rustc-web rust-web-src mingw-w64 wine64 cmake make sqlite3

# The program's own code less optimized, as it comes to the same bytes and takes a third of the time.
windows() {
    local command=$1
    shift
    cargo xtask windows "$command" --release --locked \
        --config 'profile.release.package.landplaster.opt-level=1' \
        --config 'profile.release.package.landplaster.codegen-units=16' "$@"
}

step 'build'
windows build
windows test --lib --bins --test suite --no-run

step 'the same bytes'
bash .ci/same-bytes.sh target/release/landplaster \
    target/x86_64-windows/x86_64-pc-windows-gnu/release/landplaster.exe

step 'tests'
# What compares numbers alone, many times over, runs on Linux.
windows test --lib --bins --test suite -- \
    --skip simulated:: --skip properties:: --skip mutations:: --skip architecture::

step 'done'
