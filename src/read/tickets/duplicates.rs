//! Tickets that are there twice.

use std::collections::BTreeMap;

use crate::faults::Faults;
use crate::read::ReadError;
use crate::read::columns::{Spellings, WantedColumn, find};
use crate::read::table::Table;

/// A number column of its own comes first; each tier has one spelling, as no setting names it.
const TICKET: WantedColumn = WantedColumn {
    what: "ticket number",
    key: "ticket",
    spellings: Spellings::Tiers(&[
        &["ticketnumber"],
        &["ticketno"],
        &["ticketid"],
        &["ticket"],
        &["number"],
        &["no"],
    ]),
};

/// Refuses ticket numbers and whole rows that are there twice.
pub(super) fn refuse(table: &Table) -> Result<(), ReadError> {
    let mut faults = Faults::default();
    if let Some(column) = find(table, &TICKET, None)? {
        let mut known: BTreeMap<&str, &str> = BTreeMap::new();
        for row in table.rows.iter().filter(|row| !row.cell(column).is_empty()) {
            if let Some(before) = known.insert(row.cell(column), &row.place) {
                faults.push(ReadError::Unexpected {
                    place: format!("{before} and {}", row.place),
                    found: format!("the ticket \"{}\" twice", row.cell(column)),
                    expected: "each ticket once; delete one row or mend its number".to_owned(),
                });
            }
        }
    }
    // Rows with one number are told already.
    faults.all()?;
    let mut faults = Faults::default();
    let mut known: BTreeMap<Vec<&str>, &str> = BTreeMap::new();
    for row in &table.rows {
        let cells = (0..table.columns.len()).map(|column| row.cell(column)).collect();
        if let Some(before) = known.insert(cells, &row.place) {
            faults.push(ReadError::Unexpected {
                place: format!("{before} and {}", row.place),
                found: "the same row twice".to_owned(),
                expected: "each load once; delete one row or, if they are two loads, give each its number in a column \"ticket\"".to_owned(),
            });
        }
    }
    faults.all()
}
