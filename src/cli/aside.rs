//! What is said beside the result, on standard error.

use std::fmt::Display;

/// Says a line; where nobody can read it there is nothing left to do about that.
#[cfg(not(test))]
pub fn say(line: impl Display) {
    use std::io::{self, Write};
    let _ = writeln!(io::stderr().lock(), "{line}");
}

/// Says a line to the test harness, which keeps it.
#[cfg(test)]
#[expect(clippy::print_stderr, reason = "the only way to the harness")]
pub fn say(line: impl Display) {
    eprintln!("{line}");
}
