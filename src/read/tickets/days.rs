//! The days of tickets.

use super::bad;
use crate::read::ReadError;
use crate::read::table::{Row, Table};
use crate::reconcile::Ticket;

/// The day in a cell. Years are those that a season of now may have: a slip of the pen is told
/// without a clock.
pub(super) fn day(table: &Table, row: &Row, column: usize) -> Result<String, ReadError> {
    let text = row.cell(column);
    if !is_date(text) {
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

/// Whether a text is a day of the calendar.
fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts.as_slice() else { return false };
    let digits =
        |part: &str, count| part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
    if !(digits(year, 4) && digits(month, 2) && digits(day, 2)) {
        return false;
    }
    let value = |part: &str| part.parse::<u32>().unwrap_or(0);
    let (year, month, day) = (value(year), value(month), value(day));
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => 0,
    };
    (1..=days).contains(&day)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The Gregorian calendar: 2000 and 2024 are leap years, 1900 is not.
    #[test]
    fn days_of_the_calendar() {
        for day in ["2024-02-29", "2000-02-29", "2026-12-31"] {
            assert!(is_date(day), "{day}");
        }
        for day in ["1900-02-29", "2026-04-31", "2026-13-01", "2026-00-10", "26-04-14", "2026-4-14"]
        {
            assert!(!is_date(day), "{day}");
        }
    }
}
