//! Which attribute of a file is the rate, and in which unit.

use crate::read::{Cell, ZoneFile, ZoneShape};
use crate::units::{Quantity, Rate, Unit};

/// What the user says about the rates of a file.
#[derive(Clone, Debug, Default)]
pub struct RateSetting {
    /// The attribute that holds them; the one that is called "rate" when absent.
    pub column: Option<String>,
    /// Their unit; what the file says when absent.
    pub unit: Option<String>,
    /// The layer of a file that holds several; the only one when absent.
    pub layer: Option<String>,
}

/// Where the rates of a file are.
pub(super) struct Rates {
    column: Option<usize>,
    unit: Option<&'static Unit>,
    unit_column: Option<usize>,
    said: Option<&'static Unit>,
    header: Option<&'static Unit>,
}

/// A rate that was looked up.
pub(super) struct FoundRate {
    pub written: String,
    pub rate: Option<Rate>,
    pub unit: Option<&'static Unit>,
}

impl Rates {
    /// Finds them; what cannot be known is told.
    pub fn of(file: &ZoneFile, setting: &RateSetting, departures: &mut Vec<String>) -> Self {
        let named =
            |name: &str| file.columns.iter().position(|c| c.trim().eq_ignore_ascii_case(name));
        let wanted = setting.column.as_deref().unwrap_or("rate");
        let column = named(wanted).or_else(|| {
            let with_unit = |c: &String| header_unit(c).is_some() && has_word(c, wanted);
            file.columns.iter().position(with_unit)
        });
        if column.is_none() {
            let all = file.columns.join(", ");
            let all = if all.is_empty() {
                "there is no attribute".to_owned()
            } else {
                format!("the attributes are {all}")
            };
            departures.push(format!(
                "no attribute is called \"{wanted}\", so no zone has a rate; {all}; say which one it is with --rate"
            ));
        }
        let header = column.and_then(|i| file.columns.get(i)).and_then(|c| header_unit(c));
        let said = setting.unit.as_deref().and_then(unit);
        if let (Some(text), None) = (&setting.unit, said) {
            departures
                .push(format!("--unit \"{text}\" is no unit of a rate such as ton/ac or kg/ha"));
        }
        let unit_column = ["rate_unit", "unit", "units"].into_iter().find_map(named);
        let rates = Self { column, unit: said.or(header), unit_column, said, header };
        if column.is_some() && rates.unit.is_none() && unit_column.is_none() {
            departures.push(
                "nothing says which unit the rates are in, so there are no tons; say it with --unit, such as --unit ton/ac".into(),
            );
        }
        rates
    }

    /// The unit that was typed, and the other one that the file has for a shape.
    pub fn conflict(&self, shape: &ZoneShape) -> Option<[&'static Unit; 2]> {
        let in_column = || match self.unit_column.and_then(|column| shape.cells.get(column)) {
            Some(Cell::Text(text)) => unit(text),
            _ => None,
        };
        let units = [self.said?, self.header.or_else(in_column)?];
        let [said, stated] = units;
        (said.symbol() != stated.symbol()).then_some(units)
    }

    /// The rate of one shape.
    pub fn at(&self, shape: &ZoneShape, departures: &mut Vec<String>) -> FoundRate {
        let mut found = FoundRate { written: "-".to_owned(), rate: None, unit: self.unit };
        if found.unit.is_none() {
            let text = self.unit_column.and_then(|column| shape.cells.get(column));
            if let Some(Cell::Text(text)) = text {
                found.unit = unit(text);
                if found.unit.is_none() {
                    departures.push(format!("{}: \"{text}\" is no unit of a rate", shape.place));
                }
            }
        }
        let Some(cell) = self.column.and_then(|column| shape.cells.get(column)) else {
            return found;
        };
        let place = &shape.place;
        let number = match cell {
            Cell::Empty => {
                departures.push(format!("{place}: the rate is empty"));
                return found;
            }
            Cell::Number(number) => *number,
            Cell::Text(text) => {
                departures.push(format!("{place}: the rate is the text \"{text}\", not a number"));
                found.written.clone_from(text);
                match text.trim().parse() {
                    Ok(number) => number,
                    Err(_) => return found,
                }
            }
        };
        found.written = number.to_string();
        if !number.is_finite() || number < 0.0 {
            departures.push(format!("{place}: the rate is {number}, expected 0 or more"));
            return found;
        }
        found.rate = found.unit.map(|unit| Rate::from_si(number * unit.si));
        found
    }
}

/// A unit by the way that it is spelled.
pub(super) fn unit(text: &str) -> Option<&'static Unit> {
    Rate::UNITS.iter().find(|unit| unit.is_spelled(text.trim()))
}

/// The unit of a header such as `Rate (ton/ac)`.
fn header_unit(header: &str) -> Option<&'static Unit> {
    let (_, rest) = header.split_once(['(', '['])?;
    unit(rest.split([')', ']']).next()?)
}

fn has_word(header: &str, word: &str) -> bool {
    let before = header.split(['(', '[']).next().unwrap_or("");
    before.trim().eq_ignore_ascii_case(word)
}
