//! Which records of a file are the field that is meant.

use std::collections::{BTreeMap, BTreeSet};

use super::ReadError;
use super::error::quoted;
use super::records::{Record, Records};

/// Usual names of the column with the fields' names, the first first; in lower case, letters and
/// digits alone.
const NAMES: [&str; 10] = [
    "field",
    "fieldname",
    "fieldlabel",
    "fldname",
    "name",
    "fieldid",
    "label",
    "designator",
    "title",
    "id",
];
/// Columns that measure a shape or number the rows: they say nothing about what is one field.
const MEASURES: [&str; 20] = [
    "area",
    "acres",
    "acre",
    "ac",
    "hectares",
    "hectare",
    "ha",
    "sqft",
    "sqm",
    "shapearea",
    "shapeleng",
    "shapelength",
    "perimeter",
    "length",
    "fid",
    "objectid",
    "ogcfid",
    "gid",
    "rowid",
    "shapelen",
];
/// The most names that a message lists.
const MOST_LISTED: usize = 30;

/// Leaves the records of the field of a name, by the column of that name, or else by whichever column
/// has the name, and gives the others. Without a name it leaves all of them.
///
/// # Errors
/// When there is no such column or no such name, or several columns have the name in different rows.
pub(super) fn of_field(
    records: &mut Records,
    file: &str,
    field: Option<&str>,
    column: Option<&str>,
) -> Result<Vec<Record>, ReadError> {
    let column = column.map(|column| named(records, file, column)).transpose()?;
    let Some(field) = field else { return Ok(Vec::new()) };
    let candidates: Vec<usize> = match column {
        Some(column) => vec![column],
        None => (0..records.columns.len()).collect(),
    };
    let matching = |column: usize, same: &dyn Fn(&str) -> bool| -> Vec<usize> {
        let rows = records.all.iter().enumerate();
        rows.filter(|(_, record)| same(&record.text(column))).map(|(row, _)| row).collect()
    };
    let folded = field.trim().to_lowercase();
    let exact = |text: &str| text == field.trim();
    let alike = |text: &str| text.to_lowercase() == folded;
    let tests: [&dyn Fn(&str) -> bool; 2] = [&exact, &alike];
    for same in tests {
        let found: BTreeMap<Vec<usize>, usize> = candidates
            .iter()
            .map(|&column| (matching(column, same), column))
            .filter(|(rows, _)| !rows.is_empty())
            .collect();
        let mut sets = found.into_iter();
        match (sets.next(), sets.next()) {
            (None, _) => {}
            (Some((rows, _)), None) => {
                let all = std::mem::take(&mut records.all).into_iter().enumerate();
                let (of_it, others): (Vec<_>, Vec<_>) =
                    all.partition(|(row, _)| rows.binary_search(row).is_ok());
                records.all = of_it.into_iter().map(|(_, record)| record).collect();
                return Ok(others.into_iter().map(|(_, record)| record).collect());
            }
            (Some((_, one)), Some((_, other))) => {
                let columns = [one, other].map(|column| header(records, column));
                return Err(ReadError::Several {
                    name: file.to_owned(),
                    what: "columns with that field, of different rows",
                    found: quoted(columns),
                    key: "field_column",
                    or: String::new(),
                });
            }
        }
    }
    let names = match column.or_else(|| usual(records)) {
        Some(column) => listed(records, column),
        None if records.columns.is_empty() => "none, as its polygons have no names".to_owned(),
        None => format!("those in a column: {}", quoted(&records.columns)),
    };
    Err(ReadError::NoneOfThatName {
        name: file.to_owned(),
        what: "field",
        wanted: field.to_owned(),
        found: names,
    })
}

/// The column with the fields' names: the one of that name, or else the usual one.
///
/// # Errors
/// When there is none.
pub(super) fn names(
    records: &Records,
    file: &str,
    column: Option<&str>,
) -> Result<usize, ReadError> {
    if let Some(column) = column {
        return named(records, file, column);
    }
    usual(records).ok_or_else(|| ReadError::NoColumn {
        name: file.to_owned(),
        what: "field name",
        expected: "one such as \"Field\" or \"Name\", or its name as a setting (names = \"…\")"
            .to_owned(),
        columns: quoted(&records.columns),
        hint: String::new(),
    })
}

/// What a record's field is called, by the usual column; empty where nothing says it.
pub(super) fn called(records: &Records, record: &Record, column: Option<&str>) -> String {
    let column = column.and_then(|column| named(records, "", column).ok());
    column.or_else(|| usual(records)).map_or_else(String::new, |column| record.text(column))
}

/// Refuses records that are different fields by what they are called or, without names, by their
/// other attributes.
///
/// # Errors
/// When they are.
pub(super) fn one_field(
    records: &Records,
    file: &str,
    column: Option<&str>,
) -> Result<(), ReadError> {
    if records.all.len() < 2 {
        return Ok(());
    }
    let column = match column {
        Some(column) => Some(named(records, file, column)?),
        None => usual(records),
    };
    let differs = |column: usize| {
        let mut texts = records.all.iter().map(|record| record.text(column));
        let first = texts.next().unwrap_or_default();
        texts.any(|text| text != first)
    };
    let by = match column {
        Some(column) => differs(column).then_some(column),
        None => (0..records.columns.len()).find(|&column| {
            !MEASURES.contains(&key(&header(records, column)).as_str()) && differs(column)
        }),
    };
    let Some(by) = by else { return Ok(()) };
    Err(ReadError::Several {
        name: file.to_owned(),
        what: "fields",
        found: format!("by its column \"{}\": {}", header(records, by), listed(records, by)),
        key: "field",
        or: ", or merge = true if all of them are one field".to_owned(),
    })
}

/// The column of that very name, or in other letter case.
fn named(records: &Records, file: &str, name: &str) -> Result<usize, ReadError> {
    let exact = records.columns.iter().position(|column| column.trim() == name.trim());
    let folded = name.trim().to_lowercase();
    let alike = || records.columns.iter().position(|column| column.trim().to_lowercase() == folded);
    exact.or_else(alike).ok_or_else(|| ReadError::NoColumn {
        name: file.to_owned(),
        what: "field",
        expected: format!("\"{name}\" as the setting says"),
        columns: quoted(&records.columns),
        hint: String::new(),
    })
}

/// The column that usually has the names, if it has any in it.
fn usual(records: &Records) -> Option<usize> {
    let filled = |column: &usize| records.all.iter().any(|r| !r.text(*column).is_empty());
    NAMES.iter().find_map(|usual| {
        let columns = records.columns.iter().enumerate();
        let mut alike = columns.filter(|(_, name)| key(name) == *usual).map(|(number, _)| number);
        alike.find(filled)
    })
}

fn header(records: &Records, column: usize) -> String {
    records.columns.get(column).map_or("", |header| header.trim()).to_owned()
}

/// The names in a column, in the order of the file, as many as a message can hold.
fn listed(records: &Records, column: usize) -> String {
    let name = |record: &Record| match record.text(column) {
        text if text.is_empty() => "(none)".to_owned(),
        text => format!("\"{text}\""),
    };
    let mut known = BTreeSet::new();
    let names = records.all.iter().map(name).filter(|name| known.insert(name.clone()));
    let mut shown: Vec<String> = names.collect();
    let more = shown.len().saturating_sub(MOST_LISTED);
    shown.truncate(MOST_LISTED);
    if more > 0 {
        shown.push(format!("and {more} more"));
    }
    shown.join(", ")
}

fn key(header: &str) -> String {
    header.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests;
