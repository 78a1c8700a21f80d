//! Files that another program holds open. On Windows nothing can be put in their place meanwhile.

use std::io;
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

/// How often a change is tried that something is in the way of: two seconds in all, longer than a
/// virus scanner or a synchronized drive looks at a new file.
const TRIES: u32 = 20;
const BETWEEN: Duration = Duration::from_millis(100);

/// Makes a change, again and again while something is in the way that goes away by itself.
pub fn patiently<T>(change: impl Fn() -> io::Result<T>) -> io::Result<T> {
    while_it_fails(|error| is_sharing(error) || is_denied(error), change)
}

/// Whether another program holds a file or folder, and does not let go of it.
pub fn is_held(place: &Path) -> bool {
    while_it_fails(is_sharing, || hold(place)).is_err_and(|error| is_sharing(&error))
}

fn while_it_fails<T>(
    passing: impl Fn(&io::Error) -> bool,
    change: impl Fn() -> io::Result<T>,
) -> io::Result<T> {
    for _ in 1..TRIES {
        match change() {
            Err(error) if cfg!(windows) && passing(&error) => sleep(BETWEEN),
            done => return done,
        }
    }
    change()
}

/// Opens what is there as one must who removes or moves it.
#[cfg(windows)]
fn hold(place: &Path) -> io::Result<()> {
    use std::os::windows::fs::OpenOptionsExt;
    /// The right to remove or rename, of `winnt.h`.
    const DELETE: u32 = 0x0001_0000;
    /// Folders too, and links themselves: `FILE_FLAG_BACKUP_SEMANTICS` and
    /// `FILE_FLAG_OPEN_REPARSE_POINT` of `winbase.h`.
    const FOLDERS_AND_LINKS: u32 = 0x0220_0000;
    let mut options = std::fs::OpenOptions::new();
    options.access_mode(DELETE).custom_flags(FOLDERS_AND_LINKS);
    options.open(place).map(|_| ())
}

#[cfg(not(windows))]
#[expect(clippy::unnecessary_wraps, reason = "on Windows it fails")]
fn hold(_: &Path) -> io::Result<()> {
    Ok(())
}

/// `ERROR_SHARING_VIOLATION`, `ERROR_LOCK_VIOLATION` and `ERROR_USER_MAPPED_FILE` of `winerror.h`.
fn is_sharing(error: &io::Error) -> bool {
    matches!(error.raw_os_error(), Some(32 | 33 | 1224))
}

/// `ERROR_ACCESS_DENIED`, which is also said of a folder with an open file in it, and of a file that is
/// about to go.
fn is_denied(error: &io::Error) -> bool {
    error.raw_os_error() == Some(5)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A spreadsheet keeps others from the file that it has open; elsewhere nobody can.
    #[test]
    #[cfg(windows)]
    fn an_open_file_is_held() {
        use std::os::windows::fs::OpenOptionsExt;
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("totals.csv");
        std::fs::write(&file, "acres").unwrap();
        assert!(!is_held(&file));
        let open = std::fs::OpenOptions::new().read(true).share_mode(1).open(&file).unwrap();
        assert!(is_held(&file));
        drop(open);
        assert!(!is_held(&file));
        assert!(!is_held(folder.path()));
    }

    #[test]
    fn what_cannot_be_is_not_tried_again() {
        let tried = std::cell::Cell::new(0);
        let fails = || {
            tried.set(tried.get() + 1);
            Err::<(), _>(io::Error::from(io::ErrorKind::NotFound))
        };
        assert!(patiently(fails).is_err());
        assert_eq!(tried.get(), 1);
    }
}
