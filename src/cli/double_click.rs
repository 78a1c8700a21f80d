//! Started from the Explorer of Windows: in a console of its own, which goes when the program ends.

use std::ffi::OsString;
use std::io::{self, BufRead};

use super::standard_error::say;

/// Whether nothing was typed: the program has no arguments, and its console nobody else in it.
pub fn is_one() -> bool {
    cfg!(feature = "page") && std::env::args_os().len() < 2 && has_own_console()
}

/// What is done then: the planning page is opened, of the folder that the program is in.
pub fn line() -> Vec<OsString> {
    ["landplaster", "page"].map(OsString::from).to_vec()
}

/// Waits, so that what was said last can be read before its window goes.
pub fn wait() {
    say("Press Enter to close this window.");
    let _ = io::stdin().lock().read_line(&mut String::new());
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
