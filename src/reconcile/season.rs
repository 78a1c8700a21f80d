//! `season.csv`: a row for each field and reconciliation, only ever added to.

mod saved;

use saved::{cells, lines, rows, same};

use super::{Correction, FieldRecord, Reconciliation};
use crate::csv_cell::no_formula;
use crate::units::{Area, Mass, Quantity, System};

/// The columns; `{ac}` and `{ton}` are the units.
const COLUMNS: [&str; 14] = [
    "field",
    "first_ticket",
    "last_ticket",
    "loads",
    "area_{ac}",
    "planned_{ton}",
    "delivered_{ton}",
    "left_{ton}",
    "spread_{ton}",
    "applied_{ton}",
    "within_10_percent_of_target_percent",
    "spread_to_applied",
    "constant",
    "suggested_constant",
];

/// Why rows cannot be added.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}: found {found}, expected {expected}")]
pub struct SeasonError {
    /// The file.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
    /// What was found.
    pub found: String,
    /// What was expected, and what to do.
    pub expected: String,
}

/// The units of a season's figures: those of its header, if there is one.
#[must_use]
pub fn system(text: &str) -> Option<System> {
    let found = lines(text).next().map(|(_, line)| cells(line))?;
    [System::Us, System::Metric].into_iter().find(|system| cells(&header(*system)) == found)
}

/// The text with a row for each field added that is not in it yet, and how many those are. A field
/// without tickets and without a record has no row. What another program has saved again is read as
/// long as its cells say the same, and stays as it is.
///
/// # Errors
/// When what is there is no `season.csv` in these units, or a row of it is not whole.
pub fn added(
    file: &str,
    text: &str,
    reconciled: &Reconciliation,
) -> Result<(String, usize), SeasonError> {
    let known = rows(text, reconciled.system).map_err(|(line, found, expected)| SeasonError {
        file: file.to_owned(),
        line,
        found,
        expected,
    })?;
    let end = if text.lines().next().is_some_and(|line| text.contains(&format!("{line}\r\n"))) {
        "\r\n"
    } else {
        "\n"
    };
    let mut text = text.to_owned();
    if lines(&text).next().is_none() {
        text.push_str(&header(reconciled.system));
    }
    let mut new = 0;
    let correction = reconciled.correction.as_ref().and_then(|found| found.as_ref().ok());
    for field in reconciled.fields.iter().filter(|field| has_row(field)) {
        let row = row(field, correction);
        if known.iter().any(|known| same(known, &cells(&row))) {
            continue;
        }
        if !text.ends_with('\n') {
            text.push_str(end);
        }
        text.push_str(&row);
        text.push_str(end);
        new += 1;
    }
    Ok((text, new))
}

/// Whether there is anything to keep of a field.
#[must_use]
pub fn has_row(field: &FieldRecord) -> bool {
    field.loads > 0 || field.applied.is_some()
}

fn header(system: System) -> String {
    let units = [("{ac}", Area::unit(system).symbol()), ("{ton}", Mass::unit(system).symbol())];
    units.iter().fold(COLUMNS.join(","), |text, (mark, unit)| text.replace(mark, unit))
}

fn row(field: &FieldRecord, correction: Option<&Correction>) -> String {
    let two = |value: f64| format!("{value:.2}");
    let none = String::new;
    let [first, last] = field.days.clone().unwrap_or_default();
    let own = correction.filter(|_| field.applied.is_some() && field.loads > 0);
    let cells = [
        saved::quoted(&no_formula(&field.field)),
        first,
        last,
        field.loads.to_string(),
        two(field.area),
        two(field.planned),
        two(field.delivered),
        two(field.left),
        two(field.spread),
        field.applied.map_or_else(none, two),
        field.near.map_or_else(none, |near| format!("{near:.1}")),
        field.applied.map_or_else(none, |applied| format!("{:.4}", field.spread / applied)),
        own.map_or_else(none, |found| found.was.value.to_string()),
        own.map_or_else(none, |found| format!("{:.4}", found.suggested.value)),
    ];
    cells.join(",")
}
