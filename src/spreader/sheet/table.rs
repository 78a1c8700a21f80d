/// A table of text, printed in columns or as CSV.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with its headings.
    #[must_use]
    pub fn new<S: Into<String>>(headings: impl IntoIterator<Item = S>) -> Self {
        Self { rows: vec![headings.into_iter().map(Into::into).collect()] }
    }

    /// Adds a row.
    pub fn row<S: Into<String>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.rows.push(cells.into_iter().map(Into::into).collect());
    }

    /// In columns, two spaces apart and two in from the edge: the first flush left, the others
    /// flush right.
    #[must_use]
    pub fn text(&self) -> String {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let wide = |column: usize| {
            let cells = self.rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
        };
        let widths: Vec<usize> = (0..columns).map(wide).collect();
        let line = |row: &Vec<String>| {
            let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, width))| {
                if column == 0 { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
            });
            format!("  {}\n", cells.collect::<Vec<_>>().join("  ").trim_end())
        };
        self.rows.iter().map(line).collect()
    }

    /// As CSV.
    #[must_use]
    pub fn csv(&self) -> String {
        let quoted = |cell: &String| {
            if cell.contains([',', '"', '\n', '\r']) {
                format!("\"{}\"", cell.replace('"', "\"\""))
            } else {
                cell.clone()
            }
        };
        let line = |row: &Vec<String>| row.iter().map(quoted).collect::<Vec<_>>().join(",") + "\n";
        self.rows.iter().map(line).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let mut table = Table::new(["tier", "rate"]);
        table.row(["low, wet", "0.5"]);
        assert_eq!(table.text(), "  tier      rate\n  low, wet   0.5\n");
        assert_eq!(table.csv(), "tier,rate\n\"low, wet\",0.5\n");
    }
}
