//! Standard output.

use std::io::{self, Write};

use landplaster::totals;
use serde::Serialize;

use super::failure::Failure;
use super::terminal_control;

/// Prints what `totals.json` or `farm.json` holds, or a part of it.
pub fn json(totals: &impl Serialize) -> Result<(), Failure> {
    let json = totals::text(totals).map_err(|error| Failure::Write(error.to_string()))?;
    text(&terminal_control::written_out(&json))
}

/// Prints a text; a reader that has gone is no fault.
pub fn text(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(terminal_control::taken_out(text).as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(Failure::Write(format!("standard output: {error}"))),
        Ok(()) => Ok(()),
    }
}
