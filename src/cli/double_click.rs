//! Started from the Explorer of Windows: in a console of its own, which goes when the program ends.

use std::io::{self, BufRead};
use std::process::ExitCode;

use clap::CommandFactory;

use super::failure::Failure;
use super::{Line, standard_output};

/// Whether nothing was typed: the program has no arguments, and its console nobody else in it.
pub fn is_one() -> bool {
    std::env::args_os().len() < 2 && has_own_console()
}

/// Says how to go on, and waits, so that it can be read.
pub fn run() -> Result<ExitCode, Failure> {
    let help = Line::command().render_help();
    standard_output::text(&format!(
        "{help}\n\
        landplaster works from a command window. To open one, go to the folder with your files in the\n\
        Explorer, type cmd in the address bar and press Enter. There type\n\
        \n    landplaster plan\n\n\
        and it says what it sees in the folder and what to type next.\n\n\
        Press Enter to close this window.\n"
    ))?;
    let _ = io::stdin().lock().read_line(&mut String::new());
    Ok(ExitCode::SUCCESS)
}

#[cfg(windows)]
#[expect(unsafe_code, reason = "a call of Windows")]
fn has_own_console() -> bool {
    use windows_sys::Win32::System::Console::GetConsoleProcessList;
    // A command window has its shell in it as well; with no console at all the count is 0.
    let mut processes = [0; 2];
    // SAFETY: the list has room for two, as is said.
    unsafe { GetConsoleProcessList(processes.as_mut_ptr(), 2) == 1 }
}

#[cfg(not(windows))]
fn has_own_console() -> bool {
    false
}
