//! The days of tickets.

use super::bad;
use crate::read::ReadError;
use crate::read::table::{Row, Table};
use crate::reconcile::Ticket;
use crate::units::Date;
use crate::warning::Warning;

/// In which order a column's dates have day and month, where they are not year-month-day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Order {
    MonthFirst,
    DayFirst,
}

/// The order of a column's dates: what a number over 12 shows, or `usual` where none does. With a
/// warning where dates are read by it.
///
/// # Errors
/// When some dates can only be read the one way and some only the other, or nothing says which.
pub(super) fn order(
    table: &Table,
    column: usize,
    usual: Option<Order>,
) -> Result<(Option<Order>, Option<Warning>), ReadError> {
    let parted = |row: &&Row| {
        let [first, second, _] = numbers(row.cell(column))?;
        Some((first, second))
    };
    let first_with =
        |over: fn((u32, u32)) -> bool| table.rows.iter().find(|row| parted(row).is_some_and(over));
    let day_first = first_with(|(first, second)| first > 12 && second <= 12);
    let month_first = first_with(|(first, second)| second > 12 && first <= 12);
    let Some(any) = first_with(|_| true) else { return Ok((None, None)) };
    let header = table.header(column);
    let (order, is_shown) = match (month_first, day_first) {
        (Some(month), Some(day)) => {
            return Err(ReadError::Unexpected {
                place: format!("{} and {}, column \"{header}\"", month.place, day.place),
                found: format!("\"{}\" and \"{}\"", month.cell(column), day.cell(column)),
                expected: "one order of day and month throughout; write dates as year-month-day, such as 2026-04-14".to_owned(),
            });
        }
        (Some(_), None) => (Order::MonthFirst, true),
        (None, Some(_)) => (Order::DayFirst, true),
        // Full stops stand between day, month and year, in this order.
        (None, None) if any.cell(column).contains('.') => (Order::DayFirst, true),
        (None, None) => match usual {
            Some(usual) => (usual, false),
            None => {
                return Err(ReadError::BadCell {
                    place: any.place.clone(),
                    column: header.to_owned(),
                    value: any.cell(column).to_owned(),
                    expected: "a date that shows which number is the day; write dates as year-month-day, such as 2026-04-14",
                });
            }
        },
    };
    let warning = Warning::DatesRead {
        place: format!("{}, column \"{header}\"", table.name),
        month_first: order == Order::MonthFirst,
        is_shown,
    };
    Ok((Some(order), Some(warning)))
}

/// The three numbers of a date with slashes or full stops, or with hyphens and the year last; a time of
/// day behind it does not count.
fn numbers(cell: &str) -> Option<[u32; 3]> {
    let day = cell.split([' ', 'T']).next()?;
    let mark = day.chars().find(|c| "/.-".contains(*c))?;
    let parts: Vec<&str> = day.split(mark).collect();
    let [first, second, year] = parts.as_slice() else { return None };
    let number = |part: &str, most: usize| {
        let digits = (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
        digits.then(|| part.parse::<u32>().ok()).flatten()
    };
    let whole = match year.len() {
        2 => 2000 + number(year, 2)?,
        4 => number(year, 4)?,
        _ => return None,
    };
    Some([number(first, 2)?, number(second, 2)?, whole])
}

/// The day in a cell, as ISO 8601 writes it. Years are those that a season of now may have: a slip of the
/// pen is told without a clock.
pub(super) fn day(
    table: &Table,
    row: &Row,
    column: usize,
    order: Option<Order>,
) -> Result<String, ReadError> {
    let text = row.cell(column);
    let iso = text.split([' ', 'T']).next().and_then(Date::read);
    let parted = || {
        let ([first, second, year], order) = numbers(text).zip(order)?;
        match order {
            Order::MonthFirst => Date::of(year, first, second),
            Order::DayFirst => Date::of(year, second, first),
        }
    };
    let Some(day) = iso.or_else(parted).map(|day| day.to_string()) else {
        let expected = "a date, such as 2026-04-14 or 4/14/2026";
        return Err(bad(table, row, column, expected));
    };
    if !day.starts_with("20") {
        return Err(bad(table, row, column, "a year from 2000 to 2099; mend the date"));
    }
    Ok(day)
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
