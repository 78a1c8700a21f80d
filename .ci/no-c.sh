#!/usr/bin/env bash
# Builds and tests the library without features where no C compiler can be found: what is on the path
# is Rust's own, and the linker, which Rust cannot do without, refuses to compile.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

bare=$(mktemp -d)
trap 'rm -rf "$bare"' EXIT
mkdir "$bare/path"
tools=$(dirname "$(rustc --print sysroot)/bin/rustc")
for tool in cargo rustc rustdoc; do
    ln -s "$tools/$tool" "$bare/path/$tool"
done
cat >"$bare/linker" <<END
#!$(command -v bash)
for word in "\$@"; do
    case "\$word" in
    *.c | *.cc | *.cpp | *.cxx | -c | -E | -S)
        echo "asked to compile: \$word" >&2
        exit 1
        ;;
    esac
done
PATH=$PATH exec $(command -v cc) "\$@"
END
chmod +x "$bare/linker"

# A folder of its own: to cargo, the compiler at another path is another compiler.
bare_cargo() {
    env -u CC -u CXX -u CMAKE CARGO_TARGET_DIR=target/without-c PATH="$bare/path" \
        CARGO_TARGET_X86_64_UNKNOWN_LINUX_GNU_LINKER="$bare/linker" \
        CARGO_TARGET_AARCH64_UNKNOWN_LINUX_GNU_LINKER="$bare/linker" cargo "$@"
}
bare_cargo build --release --locked --lib --no-default-features
bare_cargo test --release --locked --no-default-features
