//! Other programs, run.

use std::process::Command;

use crate::Fault;

/// Runs a program to its end, which must be a good one.
pub fn done(command: &mut Command) -> Result<(), Fault> {
    let status = command.status().map_err(|error| named(command, &error.to_string()))?;
    if status.success() { Ok(()) } else { Err(named(command, &status.to_string())) }
}

/// What a program says.
pub fn said(command: &mut Command) -> Result<String, Fault> {
    let output = command.output().map_err(|error| named(command, &error.to_string()))?;
    if !output.status.success() {
        return Err(named(command, &String::from_utf8_lossy(&output.stderr)));
    }
    Ok(String::from_utf8(output.stdout)?)
}

fn named(command: &Command, what: &str) -> Fault {
    format!("{}: {what}", command.get_program().to_string_lossy()).into()
}
