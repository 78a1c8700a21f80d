//! `season.csv`: a row for each field and reconciliation, only ever added to.

use super::{Correction, FieldRecord, Reconciliation};
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
    let first = text.lines().next()?;
    [System::Us, System::Metric].into_iter().find(|system| first == header(*system))
}

/// The text with a row for each field added that is not in it yet, and how many those are.
///
/// # Errors
/// When what is there is no `season.csv` in these units, or a row of it is not whole.
pub fn added(
    file: &str,
    text: &str,
    reconciled: &Reconciliation,
) -> Result<(String, usize), SeasonError> {
    let head = header(reconciled.system);
    let fault = |line: usize, found: String, expected: &str| {
        Err(SeasonError { file: file.to_owned(), line, found, expected: expected.to_owned() })
    };
    let mut text = if text.is_empty() { format!("{head}\n") } else { text.to_owned() };
    let lines: Vec<&str> = text.lines().collect();
    if lines.first() != Some(&head.as_str()) {
        let found = lines.first().copied().unwrap_or("").to_owned();
        return fault(1, format!("\"{found}\""), "the header of a season.csv; give another file");
    }
    for (number, line) in (1..).zip(&lines) {
        let cells = cells(line);
        if cells != COLUMNS.len() {
            let expected =
                "14, as the header has; another program left half a row: mend it or take it out";
            return fault(number, format!("{cells} cells"), expected);
        }
    }
    if !text.ends_with('\n') {
        let expected = "an end of line; another program left half a row: mend it or take it out";
        return fault(lines.len(), "a row that is cut off".to_owned(), expected);
    }
    let rows: Vec<String> = (reconciled.fields.iter())
        .map(|field| row(field, reconciled.correction.as_ref()))
        .filter(|row| !lines.contains(&row.as_str()))
        .collect();
    for row in &rows {
        text.push_str(row);
        text.push('\n');
    }
    Ok((text, rows.len()))
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
        quoted(&field.field),
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

fn quoted(cell: &str) -> String {
    if cell.contains(['"', ',']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

/// How many cells a line has: commas within quotes do not count.
fn cells(line: &str) -> usize {
    let outside: usize = line.split('"').step_by(2).map(|part| part.matches(',').count()).sum();
    outside + 1
}
