use rusqlite::limits::Limit;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, Error, MAIN_DB, ToSql};

use super::FORMAT;
use crate::read::budget::Budget;
use crate::read::zone_file::Cell;
use crate::read::{ReadError, Source};

/// How every SQLite database begins.
const MAGIC: &[u8] = b"SQLite format 3\0";
/// Where the header says how the file is written to: 1 a rollback journal, 2 a write-ahead log.
const MODES: std::ops::Range<usize> = 18..20;
/// Steps of SQLite's machine that reading may take beside some for each byte; a layer of a million
/// rows takes ten million.
const STEPS: usize = 50_000_000;
/// Steps after which is asked whether it is enough.
const STEPS_A_LOOK: i32 = 10_000;

/// A database in memory, which nothing can write to.
pub(super) struct Database {
    connection: Connection,
    name: String,
}

impl Database {
    /// Opens the database in a file.
    pub fn open(source: &Source, budget: &mut Budget) -> Result<Self, ReadError> {
        let name = source.name.clone();
        let fault = |reason: String| not_format(&name, reason);
        if !source.bytes.starts_with(MAGIC) {
            return Err(fault("it does not begin as an SQLite database".to_owned()));
        }
        if source.sidecars.get("gpkg-wal").is_some_and(|log| !log.is_empty()) {
            return Err(ReadError::Unexpected {
                place: name,
                found: "a .gpkg-wal file beside it with changes that are not in it yet".to_owned(),
                expected: "the whole of it; close the program that has it open".to_owned(),
            });
        }
        let failed = |error: Error| fault(reason(&error));
        budget.take(&name, source.bytes.len())?;
        let mut bytes = source.bytes.clone();
        // What is in memory cannot have a log beside it.
        if let Some(modes) = bytes.get_mut(MODES) {
            modes.fill(1);
        }
        let most = i32::try_from(budget.left()).unwrap_or(i32::MAX);
        let mut steps = (STEPS + source.bytes.len()) / STEPS_A_LOOK as usize;
        let mut connection = Connection::open_in_memory().map_err(failed)?;
        connection
            .deserialize_read_exact(MAIN_DB, bytes.as_slice(), bytes.len(), true)
            .map_err(failed)?;
        connection.pragma_update(None, "trusted_schema", false).map_err(failed)?;
        connection.set_limit(Limit::SQLITE_LIMIT_LENGTH, most).map_err(failed)?;
        let enough = move || {
            steps = steps.saturating_sub(1);
            steps == 0
        };
        connection.progress_handler(STEPS_A_LOOK, Some(enough));
        Ok(Self { connection, name })
    }

    /// The file's name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Gives every row of a query to `each`.
    pub fn rows(
        &self,
        sql: &str,
        parameters: &[i64],
        mut each: impl FnMut(&Row) -> Result<(), ReadError>,
    ) -> Result<(), ReadError> {
        let failed = |error: Error| not_format(&self.name, reason(&error));
        let mut statement = self.connection.prepare(sql).map_err(failed)?;
        let parameters: Vec<&dyn ToSql> = parameters.iter().map(|p| p as &dyn ToSql).collect();
        let mut rows = statement.query(parameters.as_slice()).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            each(&Row(row))?;
        }
        Ok(())
    }

    /// The names of a query's columns.
    pub fn columns(&self, sql: &str) -> Result<Vec<String>, ReadError> {
        let failed = |error: Error| not_format(&self.name, reason(&error));
        let statement = self.connection.prepare(sql).map_err(failed)?;
        Ok(statement.column_names().into_iter().map(str::to_owned).collect())
    }
}

/// A row of a query's answer.
pub(super) struct Row<'a>(&'a rusqlite::Row<'a>);

impl Row<'_> {
    fn value(&self, column: usize) -> ValueRef<'_> {
        self.0.get_ref(column).unwrap_or(ValueRef::Null)
    }

    /// A blob; `None` where there is none.
    pub fn blob(&self, column: usize) -> Option<&[u8]> {
        match self.value(column) {
            ValueRef::Blob(bytes) => Some(bytes),
            _ => None,
        }
    }

    /// An integer.
    pub fn integer(&self, column: usize) -> Option<i64> {
        match self.value(column) {
            ValueRef::Integer(number) => Some(number),
            _ => None,
        }
    }

    /// A text; empty where there is none.
    pub fn text(&self, column: usize) -> String {
        match self.value(column) {
            ValueRef::Text(bytes) => String::from_utf8_lossy(bytes).into_owned(),
            _ => String::new(),
        }
    }

    /// Any value as an attribute; a blob is none.
    pub fn cell(&self, column: usize) -> Cell {
        match self.value(column) {
            ValueRef::Null | ValueRef::Blob(_) => Cell::Empty,
            // Whole numbers beyond what a double holds are names.
            #[expect(clippy::cast_precision_loss, reason = "it is looked whether any was lost")]
            ValueRef::Integer(number) if number.unsigned_abs() < 1 << 53 => {
                Cell::Number(number as f64)
            }
            ValueRef::Integer(number) => Cell::Text(number.to_string()),
            ValueRef::Real(number) => Cell::Number(number),
            ValueRef::Text(bytes) if bytes.trim_ascii().is_empty() => Cell::Empty,
            ValueRef::Text(bytes) => Cell::Text(String::from_utf8_lossy(bytes).into_owned()),
        }
    }
}

/// A name as SQL has it.
pub(super) fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

/// What SQLite says, on one line and not at length.
fn reason(error: &Error) -> String {
    let text: String = error.to_string().chars().take(200).collect();
    text.lines().next().unwrap_or("").to_owned()
}

pub(super) fn not_format(name: &str, reason: String) -> ReadError {
    ReadError::NotFormat { name: name.to_owned(), format: FORMAT.called, reason }
}
