//! What was weighed.

use super::bad;
use crate::read::ReadError;
use crate::read::columns::{absent, bracketed_unit, named};
use crate::read::error::quoted;
use crate::read::number::number;
use crate::read::table::{Row, Table};
use crate::units::{Mass, Quantity, Unit};

/// More than any road truck carries, in short tons (common practice, no source): the unit is wrong.
const MOST: f64 = 60.0;

/// The column with the mass of each load, and the unit that its header names.
pub(super) fn column(
    table: &Table,
    given: Option<&str>,
) -> Result<(usize, &'static Unit), ReadError> {
    let known = |column: usize| Some((column, unit(table.header(column))?));
    let expected = "one with its unit, such as \"tons\" or \"net lb\"";
    if let Some(name) = given {
        let column = named(table, "mass", "--tons", name)?;
        return known(column).ok_or_else(|| ReadError::BadUnit {
            name: table.name.clone(),
            column: table.header(column).to_owned(),
            unit: String::new(),
            expected: "it in the header, such as \"tons\" or \"net lb\"".to_owned(),
        });
    }
    let all: Vec<(usize, &Unit)> = (0..table.columns.len()).filter_map(known).collect();
    let net: Vec<(usize, &Unit)> =
        all.iter().copied().filter(|(column, _)| is_net(table.header(*column))).collect();
    match (all.as_slice(), net.as_slice()) {
        ([], _) => Err(absent(table, "mass", expected.to_owned(), String::new())),
        (_, [only]) => Ok(*only),
        ([only], _) if !is_of_the_truck(table.header(only.0)) => Ok(*only),
        _ => Err(ReadError::Unexpected {
            place: table.name.clone(),
            found: format!(
                "mass columns {}",
                quoted(all.iter().map(|(column, _)| table.header(*column)))
            ),
            expected: "one of the load alone, such as \"net lb\"; say which one with --tons COLUMN"
                .to_owned(),
        }),
    }
}

fn words(header: &str) -> impl Iterator<Item = &str> {
    header.split(|c: char| !c.is_alphanumeric())
}

fn unit(header: &str) -> Option<&'static Unit> {
    let mut words = bracketed_unit(header).into_iter().chain(words(header));
    words.find_map(|word| Mass::UNITS.iter().find(|unit| unit.is_spelled(word)))
}

/// Whether a unit is one of the United States: short tons, pounds.
pub(super) fn is_us(unit: &Unit) -> bool {
    ["tons", "lb"].iter().any(|us| unit.is_spelled(us))
}

fn is_net(header: &str) -> bool {
    words(header).any(|word| word.eq_ignore_ascii_case("net"))
}

/// Whether a mass has the truck in it.
fn is_of_the_truck(header: &str) -> bool {
    words(header).any(|word| ["gross", "tare"].contains(&word.to_lowercase().as_str()))
}

/// Refuses a column in which some cells have a decimal comma and others a point: one of the two
/// divides thousands, and which one nothing says.
pub(super) fn one_decimal_mark(table: &Table, column: usize) -> Result<(), ReadError> {
    let with = |mark| table.rows.iter().find(|row| row.cell(column).contains(mark));
    let (Some(comma), Some(point)) = (with(','), with('.')) else { return Ok(()) };
    if !table.decimal_comma || comma.place == point.place {
        return Ok(());
    }
    Err(ReadError::Unexpected {
        place: format!("{} and {}, column \"{}\"", comma.place, point.place, table.header(column)),
        found: format!("\"{}\" and \"{}\"", comma.cell(column), point.cell(column)),
        expected: "one decimal mark throughout; write all with a comma or all with a point, and without thousands separators".to_owned(),
    })
}

/// The mass of a load.
pub(super) fn of(table: &Table, row: &Row, column: usize, unit: &Unit) -> Result<Mass, ReadError> {
    let cell = row.cell(column);
    let thousands = (!table.decimal_comma).then(|| without_thousands(cell)).flatten();
    if let Some(value) = thousands {
        return sound(table, row, column, Mass::from_si(value * unit.si));
    }
    let divided = cell.contains(|c: char| matches!(c, ',' | '\'') || c.is_whitespace())
        && cell.chars().all(|c| c.is_ascii_digit() || c.is_whitespace() || ",.'".contains(c));
    let value = number(table, row, column);
    let value = if divided {
        value.map_err(|_| bad(table, row, column, "a number such as 47580 or 47,580"))?
    } else {
        value?
    };
    let mass = value.filter(|value| *value > 0.0).map(|value| Mass::from_si(value * unit.si));
    let mass = mass.ok_or_else(|| bad(table, row, column, "a number above 0"))?;
    sound(table, row, column, mass)
}

/// A number with commas between thousands, such as `47,580`.
fn without_thousands(cell: &str) -> Option<f64> {
    let (whole, rest) = cell.split_once('.').unwrap_or((cell, "0"));
    let groups: Vec<&str> = whole.split(',').collect();
    let [first, others @ ..] = groups.as_slice() else { return None };
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    let grouped = !others.is_empty()
        && (1..=3).contains(&first.len())
        && others.iter().all(|group| group.len() == 3);
    let plain = grouped && digits(rest) && groups.iter().all(|group| digits(group));
    plain.then(|| cell.replace(',', "").parse().ok()).flatten()
}

fn sound(table: &Table, row: &Row, column: usize, mass: Mass) -> Result<Mass, ReadError> {
    if mass <= Mass::ZERO {
        return Err(bad(table, row, column, "a number above 0"));
    }
    if mass.as_tons() > MOST {
        let expected = "at most 60 tons a ticket, more than any road truck carries; check the number and the unit in the header";
        return Err(bad(table, row, column, expected));
    }
    Ok(mass)
}
