use std::fmt;
use std::process::ExitCode;

/// Why a command stopped.
#[derive(Clone, Debug)]
pub enum Failure {
    /// Something that the user gave is at fault.
    Input(String),
    /// A file could not be written.
    Write(String),
    /// The program itself is at fault.
    Ours(String),
}

impl Failure {
    /// Any fault of the input.
    pub fn input(error: impl fmt::Display) -> Self {
        Self::Input(error.to_string())
    }

    /// The exit code that it has.
    pub fn code(&self) -> ExitCode {
        match self {
            Failure::Input(_) => ExitCode::from(2),
            Failure::Write(_) | Failure::Ours(_) => ExitCode::FAILURE,
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Input(text) | Failure::Write(text) | Failure::Ours(text) => f.write_str(text),
        }
    }
}
