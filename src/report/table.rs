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
        let wide = |column: usize| {
            let cells = lines.iter().filter_map(|line| line.get(column));
            cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
        };
        let line = |cells: &Vec<String>| {
            let padded =
                cells.iter().zip(&self.columns).enumerate().map(|(i, (cell, (_, unit)))| {
                    let width = wide(i);
                    if unit.is_empty() {
                        format!("{cell:<width$}")
                    } else {
                        format!("{cell:>width$}")
                    }
                });
            format!("  {}\n", padded.collect::<Vec<_>>().join("  ").trim_end())
        };
        lines.iter().map(line).collect()
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
    let rows: Vec<&[String]> = rows.iter().map(AsRef::as_ref).collect();
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let columns = rows.first().map_or(0, |head| head.len());
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let noted = rows.first().and_then(|head| head.last()).is_some_and(String::is_empty);
    let line = |row: &&[String]| {
        let cells = row.iter().zip(&widths).enumerate().map(|(i, (cell, &width))| {
            if i == 0 || (noted && i + 1 == columns) {
                format!("{cell:<width$}")
            } else {
                format!("{cell:>width$}")
            }
        });
        format!("  {}", cells.collect::<Vec<_>>().join("  ")).trim_end().to_owned()
    };
    let rule =
        format!("  {}", "-".repeat(widths.iter().sum::<usize>() + 2 * columns.saturating_sub(1)));
    let mut lines: Vec<String> = rows.iter().map(line).collect();
    lines.insert(1.min(lines.len()), rule.clone());
    lines.insert(lines.len() - 1, rule);
    lines
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
