//! Every change that a replacement makes to the file system, one function each, so that a test can
//! end it before any of them.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use crate::cli::held::patiently;

/// Makes a folder that is not there yet.
pub fn make_folder(place: &Path) -> io::Result<()> {
    point()?;
    fs::create_dir(place)
}

/// Writes a file that is not there yet, and waits until the disk has it.
pub fn make_file(place: &Path, bytes: &[u8]) -> io::Result<()> {
    point()?;
    let mut file = File::create_new(place)?;
    point()?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Moves a file or folder to where nothing is.
pub fn rename(from: &Path, to: &Path) -> io::Result<()> {
    point()?;
    patiently(|| fs::rename(from, to))
}

/// Removes a file, or a link itself.
pub fn remove_file(place: &Path) -> io::Result<()> {
    point()?;
    patiently(|| fs::remove_file(place))
}

/// Removes an empty folder.
pub fn remove_folder(place: &Path) -> io::Result<()> {
    point()?;
    patiently(|| fs::remove_dir(place))
}

/// Two folders change places in one step, if the file system can do that; says whether it did.
pub fn exchange(a: &Path, b: &Path) -> io::Result<bool> {
    #[cfg(target_os = "linux")]
    if can_exchange() {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        use rustix::io::Errno;
        point()?;
        return match renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE) {
            Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => Ok(false),
            done => done.map(|()| true).map_err(io::Error::from),
        };
    }
    let _ = (a, b);
    Ok(false)
}

/// Waits until the disk has the names in a folder, where the system knows how.
pub fn flush_folder(place: &Path) -> io::Result<()> {
    #[cfg(unix)]
    match File::open(place)?.sync_all() {
        // A file system that cannot is none that could lose them later than its files.
        Err(error) if error.kind() == io::ErrorKind::InvalidInput => {}
        done => return done,
    }
    let _ = place;
    Ok(())
}

#[cfg(not(test))]
#[expect(clippy::unnecessary_wraps, reason = "in tests it fails")]
fn point() -> io::Result<()> {
    Ok(())
}

#[cfg(all(not(test), target_os = "linux"))]
fn can_exchange() -> bool {
    true
}

#[cfg(test)]
pub use test::{End, counted};
#[cfg(test)]
use test::{can_exchange, point};

#[cfg(test)]
mod test {
    use std::cell::Cell;
    use std::io;
    use std::panic::{self, AssertUnwindSafe};

    /// How the change of a number is kept from being made.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub enum End {
        /// The run ends there, as by a kill.
        Kill,
        /// It fails.
        Fail,
        /// It fails, and so does every one after it.
        FailAll,
    }

    thread_local! {
        static MADE: Cell<usize> = const { Cell::new(0) };
        static END: Cell<Option<(usize, End)>> = const { Cell::new(None) };
        static EXCHANGE: Cell<bool> = const { Cell::new(true) };
    }

    /// Does some work that ends before the change of a number, counted from 0, on a file system that
    /// can exchange or not. Gives what the work gave, if it came to its end, and how many changes
    /// were made or tried.
    pub fn counted<T>(
        end: Option<(usize, End)>,
        exchange: bool,
        work: impl FnOnce() -> T,
    ) -> (Option<T>, usize) {
        MADE.set(0);
        END.set(end);
        EXCHANGE.set(exchange);
        let done = panic::catch_unwind(AssertUnwindSafe(work)).ok();
        END.set(None);
        EXCHANGE.set(true);
        (done, MADE.get())
    }

    pub fn can_exchange() -> bool {
        EXCHANGE.get()
    }

    pub fn point() -> io::Result<()> {
        let now = MADE.get();
        MADE.set(now + 1);
        match END.get() {
            Some((at, End::Kill)) if now == at => panic::resume_unwind(Box::new("killed")),
            Some((at, End::Fail)) if now == at => Err(io::Error::other("made to fail")),
            Some((at, End::FailAll)) if now >= at => Err(io::Error::other("made to fail")),
            _ => Ok(()),
        }
    }
}
