//! Tables with samples of several fields: by the column that says the field, or by where they lie.

use geo::Coord;

use super::ReadError;
use super::columns::{self, FIELD};
use super::error::quoted;
use super::ids::{IdRule, matched};
use super::table::{Row, Table};
use crate::field::{FieldOfSample, FieldOutline, belongs};

/// A field among others, for samples of all of them.
#[derive(Clone, Copy, Debug)]
pub struct OtherFields<'a> {
    /// The field and then the others.
    pub outlines: &'a [FieldOutline],
}

impl OtherFields<'_> {
    /// Whether a sample is of another field: it lies in one of the others and not in this one, or
    /// in none and nearer to another.
    pub(super) fn is_of_another(&self, at: Coord<f64>) -> Option<&str> {
        let other = match belongs(at, self.outlines) {
            FieldOfSample::In(fields) if fields.contains(&0) => None,
            FieldOfSample::In(fields) => fields.first().copied(),
            FieldOfSample::Near(field, _) => Some(field).filter(|field| *field != 0),
            FieldOfSample::Nowhere => None,
        };
        self.outlines.get(other?).map(|outline| outline.name.as_str())
    }
}

/// Leaves the rows of a field, by a column that says the field; all of them without a name.
///
/// # Errors
/// When there is no such column, or no row of that field.
pub(super) fn keep_one(
    table: &mut Table,
    field: Option<&str>,
    column: Option<&str>,
) -> Result<(), ReadError> {
    let Some(field) = field.map(str::trim) else { return Ok(()) };
    let found = columns::find(table, &FIELD, column)?.ok_or_else(|| {
        let expected = "one such as \"Field\", or its name as a setting (field_column = \"…\")";
        columns::absent(table, "field", expected.to_owned(), String::new())
    })?;
    let folded = field.to_lowercase();
    let is_it = |row: &Row| row.cell(found).to_lowercase() == folded;
    let keep: Vec<bool> = table.rows.iter().map(is_it).collect();
    if !keep.contains(&true) {
        let mut known: Vec<&str> = Vec::new();
        for row in &table.rows {
            let name = row.cell(found);
            if !name.is_empty() && !known.contains(&name) {
                known.push(name);
            }
        }
        return Err(ReadError::NoneOfThatName {
            name: table.name.clone(),
            what: "row of field",
            wanted: field.to_owned(),
            found: quoted(known.into_iter().take(30)),
        });
    }
    table.keep(&keep);
    Ok(())
}

/// Names of fields in one file as another one has them, by one rule for all; none where they do not
/// meet.
#[derive(Clone, Debug)]
pub struct SameNames {
    /// For each of the first names, which of the others it is.
    pub found: Vec<Option<usize>>,
    /// The rule in words, where they are not the same as they stand.
    pub rule: Option<&'static str>,
}

/// Matches the names of fields of two files.
#[must_use]
pub fn same_names(first: &[&str], second: &[&str]) -> Option<SameNames> {
    let found = matched(first, second)?;
    let rule = (found.rule != IdRule::Exact).then(|| found.rule.words());
    Some(SameNames { found: found.found, rule })
}
