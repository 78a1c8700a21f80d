use crate::csv_cell::no_formula;
use crate::units::{Quantity, System};

/// A table, printed in columns or as CSV. A column has one unit: it stands behind every cell on
/// paper, and in the heading of the CSV, whose cells are bare numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    columns: Vec<(String, String)>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with its headings and their units; an empty unit where a column has words.
    #[must_use]
    pub fn new<'a>(columns: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        let owned = |(name, unit): (&str, &str)| (name.to_owned(), unit.to_owned());
        Self { columns: columns.into_iter().map(owned).collect(), rows: Vec::new() }
    }

    /// Adds a row, cells without unit.
    pub fn row<S: Into<String>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.rows.push(cells.into_iter().map(Into::into).collect());
    }

    /// In columns, two spaces apart and two in from the edge: words flush left, numbers right.
    #[must_use]
    pub fn text(&self) -> String {
        let heading = self.columns.iter().map(|(name, _)| name.clone()).collect();
        let with_units = self.rows.iter().map(|row| {
            let cells = row.iter().zip(&self.columns);
            cells
                .map(|(cell, (_, unit))| {
                    if unit.is_empty() || cell.is_empty() {
                        cell.clone()
                    } else {
                        format!("{cell} {unit}")
                    }
                })
                .collect()
        });
        let lines: Vec<Vec<String>> = std::iter::once(heading).chain(with_units).collect();
        let is_text =
            |column: usize| self.columns.get(column).is_none_or(|(_, unit)| unit.is_empty());
        aligned(&lines, is_text).into_iter().map(|line| line + "\n").collect()
    }

    /// As CSV, units in the headings.
    #[must_use]
    pub fn csv(&self) -> String {
        let heading = self.columns.iter().map(|(name, unit)| {
            if unit.is_empty() { name.clone() } else { format!("{name} ({unit})") }
        });
        let quoted = |cell: &String| {
            let cell = no_formula(cell);
            if cell.contains([',', '"', '\n', '\r']) {
                format!("\"{}\"", cell.replace('"', "\"\""))
            } else {
                cell.into_owned()
            }
        };
        let line = |row: &Vec<String>| row.iter().map(quoted).collect::<Vec<_>>().join(",") + "\n";
        let heading = heading.collect();
        std::iter::once(&heading).chain(&self.rows).map(line).collect()
    }
}

/// A number with the decimals given, without unit.
pub(super) fn number<Q: Quantity>(value: Q, system: System, decimals: usize) -> String {
    format!("{:.decimals$}", value.value_in(system))
}

/// A table with a rule under its first row and above its last, numbers to the right; the first
/// column is text, and so is the last if it has no heading. All rows are as long as the first.
pub(super) fn ruled(rows: &[impl AsRef<[String]>]) -> Vec<String> {
    let head = rows.first().map_or(&[][..], AsRef::as_ref);
    let noted = head.last().is_some_and(String::is_empty);
    let last = head.len().saturating_sub(1);
    let mut lines = aligned(rows, |column| column == 0 || (noted && column == last));
    let widths: usize = widths(rows).iter().sum();
    let rule = format!("  {}", "-".repeat(widths + 2 * last));
    lines.insert(1.min(lines.len()), rule.clone());
    lines.insert(lines.len() - 1, rule);
    lines
}

/// Rows in columns, two spaces apart and two in from the edge: text flush left, numbers right.
pub(super) fn aligned(
    rows: &[impl AsRef<[String]>],
    is_text: impl Fn(usize) -> bool,
) -> Vec<String> {
    let widths = widths(rows);
    let line = |row: &[String]| {
        let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, &width))| {
            if is_text(column) { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
        });
        format!("  {}", cells.collect::<Vec<_>>().join("  ")).trim_end().to_owned()
    };
    rows.iter().map(|row| line(row.as_ref())).collect()
}

/// How many letters the widest cell of each column of the first row has.
fn widths(rows: &[impl AsRef<[String]>]) -> Vec<usize> {
    let columns = rows.first().map_or(0, |head| head.as_ref().len());
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.as_ref().get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    (0..columns).map(width).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let mut table = Table::new([("tier", ""), ("rate", "ton/ac"), ("belt", "")]);
        table.row(["low, wet", "0.5", "within"]);
        assert_eq!(table.text(), "  tier            rate  belt\n  low, wet  0.5 ton/ac  within\n");
        assert_eq!(table.csv(), "tier,rate (ton/ac),belt\n\"low, wet\",0.5,within\n");
    }
}
