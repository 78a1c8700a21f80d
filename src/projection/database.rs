//! PROJ's database where it is compressed in the program: unpacked when it is first asked for, into
//! memory that all of SQLite's connections share.

use std::ffi::CStr;
use std::io::Read;
use std::sync::{LazyLock, Mutex};

use flate2::read::GzDecoder;
use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, MAIN_DB, OpenFlags};

/// Made of PROJ's `proj.db` by the build script.
static COMPRESSED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/proj.db.gz"));
/// A name that begins with `/` is shared.
const PATH: &CStr = c"file:/proj.db?vfs=memdb";

/// What is in memory goes with its last connection, so that one stays open.
static OPEN: LazyLock<Option<Mutex<Connection>>> = LazyLock::new(|| unpacked().map(Mutex::new));

/// Where PROJ finds its database; none where it cannot be unpacked.
pub(super) fn path() -> Option<&'static CStr> {
    OPEN.as_ref().map(|_| PATH)
}

fn unpacked() -> Option<Connection> {
    let mut bytes = Vec::new();
    GzDecoder::new(COMPRESSED).read_to_end(&mut bytes).ok()?;
    let mut packed = Connection::open_in_memory().ok()?;
    packed.deserialize_read_exact(MAIN_DB, bytes.as_slice(), bytes.len(), true).ok()?;
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
        | OpenFlags::SQLITE_OPEN_CREATE
        | OpenFlags::SQLITE_OPEN_URI;
    let mut shared = Connection::open_with_flags(PATH.to_str().ok()?, flags).ok()?;
    let copied = Backup::new(&packed, &mut shared).ok()?.step(-1).ok()?;
    (copied == StepResult::Done).then_some(shared)
}
