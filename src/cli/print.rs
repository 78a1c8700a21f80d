//! Standard output.

use std::io::{self, Write};

use landplaster::totals;
use serde::Serialize;

use super::failure::Failure;

/// Prints what `totals.json` or `farm.json` holds, or a part of it.
pub fn json(totals: &impl Serialize) -> Result<(), Failure> {
    text(&totals::text(totals).map_err(|error| Failure::Write(error.to_string()))?)
}

/// Prints a text; a reader that has gone is no fault.
pub fn text(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        Err(error) => Err(Failure::Write(format!("standard output: {error}"))),
        Ok(()) => Ok(()),
    }
}
