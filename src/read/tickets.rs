use super::columns::{Wanted, absent, bracketed_unit, find, single};
use super::number::number;
use super::table::{Row, Table};
use super::{ReadError, Source, format};
use crate::reconcile::Ticket;
use crate::units::{Mass, Quantity, Unit};

const DATE: Wanted = Wanted { what: "date", key: "date", spellings: &[&["date", "day"]] };
const FIELD: Wanted = Wanted { what: "field", key: "field", spellings: &[&["field", "job"]] };

/// Reads weigh tickets: a table with a date, a field and a mass, whose header says the unit, such
/// as `tons`, `net lb` or `mass (t)`.
///
/// # Errors
/// When the file cannot be read, a column is absent, a date is not one of the calendar in ISO 8601,
/// or a mass is not a number above 0.
pub fn tickets(source: &Source) -> Result<(Vec<Ticket>, Vec<String>), ReadError> {
    let table = format::table(source)?;
    let needed = |wanted: &Wanted| {
        let expected = || format!("\"{}\"", wanted.key);
        find(&table, wanted, None)?
            .ok_or_else(|| absent(&table, wanted.what, expected(), String::new()))
    };
    let (date, field) = (needed(&DATE)?, needed(&FIELD)?);
    let (mass, unit) = mass_column(&table)?;
    let mut warnings = table.warnings.clone();
    let mut tickets: Vec<Ticket> = Vec::new();
    for (number, row) in table.rows.iter().enumerate() {
        let before = table.rows.iter().take(number).find(|other| other.cells == row.cells);
        if let Some(before) = before {
            warnings.push(format!(
                "{}: the same as {}; both count: take one out if it is one load",
                row.place, before.place
            ));
        }
        tickets.push(Ticket {
            place: row.place.clone(),
            date: date_of(&table, row, date)?,
            field: filled(&table, row, field)?,
            mass: mass_of(&table, row, mass, unit)?,
        });
    }
    Ok((tickets, warnings))
}

/// The one column whose header names a unit of mass.
fn mass_column(table: &Table) -> Result<(usize, &'static Unit), ReadError> {
    let unit = |header: &str| {
        let words = header.split(|c: char| !c.is_alphanumeric());
        let mut words = bracketed_unit(header).into_iter().chain(words);
        words.find_map(|word| Mass::UNITS.iter().find(|unit| unit.is_spelled(word)))
    };
    let columns: Vec<usize> =
        (0..table.columns.len()).filter(|&column| unit(table.header(column)).is_some()).collect();
    let column = single(table, "mass", "tons", &columns)?;
    column.and_then(|column| Some((column, unit(table.header(column))?))).ok_or_else(|| {
        let expected = "one with its unit, such as \"tons\" or \"net lb\"";
        absent(table, "mass", expected.to_owned(), String::new())
    })
}

fn bad(table: &Table, row: &Row, column: usize, expected: &'static str) -> ReadError {
    ReadError::BadCell {
        place: row.place.clone(),
        column: table.header(column).to_owned(),
        value: row.cell(column).to_owned(),
        expected,
    }
}

fn filled(table: &Table, row: &Row, column: usize) -> Result<String, ReadError> {
    match row.cell(column) {
        "" => Err(bad(table, row, column, "the field's name")),
        name => Ok(name.to_owned()),
    }
}

fn mass_of(table: &Table, row: &Row, column: usize, unit: &Unit) -> Result<Mass, ReadError> {
    let value = number(table, row, column)?.filter(|value| *value > 0.0);
    value
        .map(|value| Mass::from_si(value * unit.si))
        .ok_or_else(|| bad(table, row, column, "a number above 0"))
}

fn date_of(table: &Table, row: &Row, column: usize) -> Result<String, ReadError> {
    let text = row.cell(column);
    if is_date(text) {
        return Ok(text.to_owned());
    }
    Err(bad(table, row, column, "a date as year-month-day (ISO 8601), such as 2026-04-14"))
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

    fn read(text: &str) -> Result<(Vec<Ticket>, Vec<String>), ReadError> {
        tickets(&Source::of("t.csv", text))
    }

    fn said(text: &str) -> String {
        read(text).unwrap_err().to_string()
    }

    #[test]
    fn units_stand_in_the_header() {
        for (header, value) in [("tons", "1"), ("net lb", "2000"), ("mass (kg)", "907.18474")] {
            let (tickets, warnings) =
                read(&format!("Date,Field,{header}\n2026-04-14,home,{value}\n")).unwrap();
            assert!((tickets[0].mass.as_tons() - 1.0).abs() < 1e-12, "{header}");
            assert_eq!((tickets[0].field.as_str(), warnings.len()), ("home", 0));
        }
    }

    #[test]
    fn the_same_ticket_twice_is_told() {
        let text = "date,field,tons\n2026-04-14,a,10\n2026-04-14,a,11\n2026-04-14,a,10\n";
        let (tickets, warnings) = read(text).unwrap();
        assert_eq!(tickets.len(), 3);
        assert_eq!(
            warnings,
            ["t.csv, row 4: the same as t.csv, row 2; both count: take one out if it is one load"]
        );
    }

    #[test]
    fn faults_are_named() {
        assert_eq!(
            said("date,field,weight\n"),
            "t.csv: found no mass column, expected one with its unit, such as \"tons\" or \"net lb\"; the columns are \"date\", \"field\", \"weight\""
        );
        assert_eq!(
            said("when,field,tons\n"),
            "t.csv: found no date column, expected \"date\"; the columns are \"when\", \"field\", \"tons\""
        );
        let row = |row: &str| said(&format!("date,field,tons\n{row}\n"));
        assert_eq!(
            row("4/14/2026,a,1"),
            "t.csv, row 2, column \"date\": found \"4/14/2026\", expected a date as year-month-day (ISO 8601), such as 2026-04-14"
        );
        assert_eq!(
            row("2026-04-14,a,ten"),
            "t.csv, row 2, column \"tons\": found \"ten\", expected a number"
        );
        assert_eq!(
            row("2026-04-14,a,-1"),
            "t.csv, row 2, column \"tons\": found \"-1\", expected a number above 0"
        );
        assert_eq!(
            row("2026-04-14,,1"),
            "t.csv, row 2, column \"field\": found \"\", expected the field's name"
        );
    }

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
