//! What is said beside the result, on standard error.

use std::fmt::Display;

use super::terminal_control;

/// Says a line; where nobody can read it there is nothing left to do about that.
#[cfg(not(test))]
pub fn say(line: impl Display) {
    use std::io::{self, Write};
    let line = line.to_string();
    let _ = writeln!(io::stderr().lock(), "{}", terminal_control::taken_out(&line));
}

/// Says a line to the test harness, which keeps it.
#[cfg(test)]
#[expect(clippy::print_stderr, reason = "the only way to the harness")]
pub fn say(line: impl Display) {
    eprintln!("{}", terminal_control::taken_out(&line.to_string()));
}
