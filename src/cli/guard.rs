//! A fault of the program's own, told as a plain failure.

use std::any::Any;
use std::env;
use std::panic::{self, AssertUnwindSafe};
use std::sync::{Mutex, PoisonError};

use super::failure::Failure;

/// What the panics so far said, and where they were.
static SEEN: Mutex<Vec<(String, String)>> = Mutex::new(Vec::new());

/// From here on a panic prints nothing by itself, unless a developer asks for it by
/// `RUST_BACKTRACE`; its place is kept for [`guarded`].
pub fn note_panics() {
    let usual = env::var_os("RUST_BACKTRACE").map(|_| panic::take_hook());
    panic::set_hook(Box::new(move |panic| {
        let place = panic.location().map(ToString::to_string).unwrap_or_default();
        seen(|all| all.push((said(panic.payload()), place)));
        if let Some(usual) = &usual {
            usual(panic);
        }
    }));
}

/// Does some work; a panic in it, on whatever thread, is a failure of it and of nothing else.
pub fn guarded<T>(work: impl FnOnce() -> Result<T, Failure>) -> Result<T, Failure> {
    panic::catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|payload| {
        let said = said(payload.as_ref());
        let place = seen(|all| all.iter().rev().find(|(other, _)| *other == said).cloned());
        let place = place.map_or_else(String::new, |(_, place)| format!(" at {place}"));
        Err(Failure::Ours(format!(
            "this is a fault of landplaster, not of your files: \"{said}\"{place} in version {}; please send it to the developers, with the files if you can",
            env!("CARGO_PKG_VERSION")
        )))
    })
}

fn seen<T>(look: impl FnOnce(&mut Vec<(String, String)>) -> T) -> T {
    look(&mut SEEN.lock().unwrap_or_else(PoisonError::into_inner))
}

fn said(payload: &(dyn Any + Send)) -> String {
    let text = payload.downcast_ref::<String>().map(String::as_str);
    text.or_else(|| payload.downcast_ref::<&str>().copied()).unwrap_or("no reason").to_owned()
}

#[cfg(test)]
mod tests {
    use rayon::prelude::*;

    use super::*;

    #[test]
    fn a_panic_on_any_thread_is_a_failure_of_ours() {
        let work = || {
            (0..1000).into_par_iter().for_each(|number| assert!(number != 700, "no {number}"));
            Ok(())
        };
        let failure = guarded(work).unwrap_err();
        assert!(matches!(failure, Failure::Ours(_)));
        let said = failure.to_string();
        let expected = "this is a fault of landplaster, not of your files: \"no 700\"";
        assert!(said.starts_with(expected), "{said}");
        assert_eq!(guarded(|| Ok(3)).unwrap(), 3);
    }
}
