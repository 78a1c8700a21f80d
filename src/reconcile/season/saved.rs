//! A season's rows as they stand in the file, whatever program has saved it last.

use super::{COLUMNS, header};
use crate::units::System;

/// The first column that holds a number, after the field and the two days.
const NUMBERS: usize = 3;

/// A line, what was found there, and what was expected.
type Fault = (usize, String, String);

/// The lines that hold anything, with their numbers from 1; a byte order mark is none of them.
pub(super) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let blank = |line: &str| line.chars().all(|c| c.is_whitespace() || c == ',' || c == '"');
    (1..).zip(text.lines()).filter(move |(_, line)| !blank(line))
}

/// The cells of a line, without quotes and the blanks around them.
pub(super) fn cells(line: &str) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new();
    let reader = reader.has_headers(false).trim(csv::Trim::All);
    let row = reader.from_reader(line.as_bytes()).into_records().next().and_then(Result::ok);
    row.iter().flatten().map(str::to_owned).collect()
}

pub(super) fn quoted(cell: &str) -> String {
    if cell.contains(['"', ',']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

/// Whether two rows say the same: numbers by their value, so that 1.20 is 1.2.
pub(super) fn same(one: &[String], other: &[String]) -> bool {
    let value = |cell: &String| cell.parse::<f64>().ok();
    one.len() == other.len()
        && one.iter().zip(other).enumerate().all(|(column, (one, other))| {
            one == other
                || column >= NUMBERS && value(one).is_some_and(|one| Some(one) == value(other))
        })
}

/// The rows of a season in these units, without its header.
pub(super) fn rows(text: &str, system: System) -> Result<Vec<Vec<String>>, Fault> {
    let mut rows = Vec::new();
    let whole = text.ends_with('\n');
    let last = lines(text).last().map_or(0, |(number, _)| number);
    for (order, (number, line)) in lines(text).enumerate() {
        let found = cells(line);
        if order == 0 {
            head(number, line, &found, system)?;
            continue;
        }
        if line.matches('"').count() % 2 == 1 {
            let expected = "each row on a line of its own: mend it or take it out";
            return Err((number, "a quote that is not closed".to_owned(), expected.to_owned()));
        }
        if found.len() != COLUMNS.len() {
            let cut = number == last && !whole && found.len() < COLUMNS.len();
            let why = if cut { "another program left half a row: " } else { "" };
            let expected = format!("14, as the header has; {why}mend it or take it out");
            return Err((number, format!("{} cells", found.len()), expected));
        }
        for (column, (cell, name)) in found.iter().zip(cells(&header(system))).enumerate() {
            let expected = match column {
                0 => continue,
                1 | 2 if !is_day(cell) => "a day as year-month-day",
                NUMBERS.. if !cell.parse::<f64>().is_ok_and(f64::is_finite) => {
                    "a number with a decimal point"
                }
                _ => continue,
            };
            if !cell.is_empty() {
                let expected = format!("{expected}; another program has saved it in its own way");
                return Err((number, format!("\"{cell}\" as {name}"), expected));
            }
        }
        rows.push(found);
    }
    Ok(rows)
}

/// Whether a cell is written as a day: ten characters, digits but for two hyphens.
fn is_day(cell: &str) -> bool {
    let hyphen = |place: usize| place == 4 || place == 7;
    let fits =
        |(place, c): (usize, char)| if hyphen(place) { c == '-' } else { c.is_ascii_digit() };
    cell.len() == 10 && cell.chars().enumerate().all(fits)
}

/// Holds a header against that of these units, and says what is different.
fn head(number: usize, line: &str, found: &[String], system: System) -> Result<(), Fault> {
    let ours = cells(&header(system));
    if found == ours {
        return Ok(());
    }
    for (mark, name) in [(';', "semicolons"), ('\t', "tabs")] {
        if cells(&line.replace(mark, ",")) == ours {
            let expected = "commas; save it as CSV with commas and decimal points";
            return Err((number, format!("{name} between the cells"), expected.to_owned()));
        }
    }
    let names = |of: &[String], not_in: &[String]| {
        let names = of.iter().filter(|name| !not_in.contains(name));
        names.map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ")
    };
    let (more, less) = (names(found, &ours), names(&ours, found));
    // With half of the columns there it is a season that somebody has changed, else another file.
    if ours.iter().filter(|name| found.contains(name)).count() * 2 < ours.len() {
        let expected = "the header of a season.csv; give another file";
        return Err((number, format!("\"{line}\""), expected.to_owned()));
    }
    let (found, todo) = match (more.as_str(), less.as_str()) {
        ("", "") => ("the columns in another order".to_owned(), "put them back"),
        (more, "") => (format!("the column {more}"), "take it out, or keep it in another file"),
        ("", less) => (format!("no column {less}"), "put it back"),
        (more, less) => (format!("the column {more} and none {less}"), "put its name back"),
    };
    Err((number, found, format!("the 14 columns of a season.csv and no other; {todo}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_of_a_line() {
        for (line, expected) in [
            ("a,b,", vec!["a", "b", ""]),
            ("\"a, b\",\"c\"", vec!["a, b", "c"]),
            ("\"say \"\"a\"\"\",1", vec!["say \"a\"", "1"]),
            ("\"\",1", vec!["", "1"]),
        ] {
            assert_eq!(cells(line), expected, "{line}");
        }
        for name in ["plain", "a, b", "\"a\" b", "a \"b\""] {
            assert_eq!(cells(&quoted(name)), [name]);
        }
    }
}
