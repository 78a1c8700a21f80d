//! The days of tickets.

use super::bad;
use crate::read::ReadError;
use crate::read::table::{Row, Table};
use crate::reconcile::Ticket;
use crate::units::Date;

/// The day in a cell. Years are those that a season of now may have: a slip of the pen is told
/// without a clock.
pub(super) fn day(table: &Table, row: &Row, column: usize) -> Result<String, ReadError> {
    let text = row.cell(column);
    if Date::read(text).is_none() {
        let expected = "a date as year-month-day (ISO 8601), such as 2026-04-14";
        return Err(bad(table, row, column, expected));
    }
    if !text.starts_with("20") {
        return Err(bad(table, row, column, "a year from 2000 to 2099; mend the date"));
    }
    Ok(text.to_owned())
}

/// Refuses tickets of which two are more than 12 months apart; a season may span New Year.
pub(super) fn one_season(tickets: &[Ticket]) -> Result<(), ReadError> {
    let by_day = |ticket: &&Ticket| ticket.date.clone();
    let first = tickets.iter().min_by_key(by_day);
    let Some((first, last)) = first.zip(tickets.iter().max_by_key(by_day)) else { return Ok(()) };
    // Days in ISO 8601 of one length stand in the order of the calendar as texts too.
    let year: u32 = first.date.get(..4).and_then(|year| year.parse().ok()).unwrap_or(0);
    let end = format!("{}{}", year + 1, first.date.get(4..).unwrap_or(""));
    if last.date <= end {
        return Ok(());
    }
    Err(ReadError::Unexpected {
        place: format!("{} and {}", first.place, last.place),
        found: format!("the dates {} and {}", first.date, last.date),
        expected: "tickets of one season, no more than 12 months apart; mend the date, or give each season a file".to_owned(),
    })
}
