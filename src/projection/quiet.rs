use std::sync::{Mutex, PoisonError};

use rustix::fs::{Mode, OFlags, open};
use rustix::io::dup;
use rustix::stdio::{dup2_stderr, stderr};

/// One at a time: two threads that swap standard error at once would restore the wrong one.
static SWAPPED: Mutex<()> = Mutex::new(());

/// Runs PROJ calls that may fail without the lines that PROJ itself prints on standard error.
///
/// PROJ's log can only be turned off through unsafe calls or the environment, so standard error
/// points at nothing for the few milliseconds that the calls take. Where that is not possible the
/// work runs all the same. The errors reach the caller as values.
pub fn quietly<T>(work: impl FnOnce() -> T) -> T {
    let guard = SWAPPED.lock().unwrap_or_else(PoisonError::into_inner);
    let saved = dup(stderr()).ok().filter(|_| {
        open("/dev/null", OFlags::WRONLY | OFlags::CLOEXEC, Mode::empty())
            .is_ok_and(|nothing| dup2_stderr(nothing).is_ok())
    });
    let result = work();
    // Restoring what was duplicated a moment ago fails only if the process has no descriptors left.
    let _restored = saved.map(dup2_stderr);
    drop(guard);
    result
}
