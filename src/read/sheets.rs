//! Which sheet of a file has the table that is looked for.

use super::error::quoted;
use super::grid::Grid;
use super::table::Table;
use super::{ReadError, Source, layout};

/// What a table is looked for by.
#[derive(Default)]
pub(super) struct TableSearch<'a> {
    /// The sheet that the job names.
    pub sheet: Option<&'a str>,
    /// The columns that the job names.
    pub named: Vec<&'a str>,
    /// Whether a header can be that of the table; any can if `None`.
    pub fits: Option<fn(&[String]) -> bool>,
}

impl<'a> TableSearch<'a> {
    /// A table by the columns that the job names.
    pub fn by(
        sheet: Option<&'a str>,
        named: impl IntoIterator<Item = &'a Option<String>>,
        fits: fn(&[String]) -> bool,
    ) -> Self {
        let named = named.into_iter().filter_map(Option::as_deref).collect();
        TableSearch { sheet, named, fits: Some(fits) }
    }

    /// The table of the sheet that is named or, without one, of the only one that can be meant.
    ///
    /// # Errors
    /// When the named sheet is absent, none has a row, several can be meant, or the rows do not go
    /// with the header.
    pub fn table(&self, source: &Source, grids: Vec<Grid>) -> Result<Table, ReadError> {
        let unexpected = |found: String, expected: String| ReadError::Unexpected {
            place: source.name.clone(),
            found,
            expected,
        };
        let names = |grids: &[Grid]| quoted(grids.iter().filter_map(|grid| grid.sheet.as_deref()));
        if let Some(name) = self.sheet {
            if grids.iter().all(|grid| grid.sheet.is_none()) {
                return Err(unexpected(
                    format!("no sheets, and the setting sheet = \"{name}\""),
                    "a spreadsheet; remove the setting".to_owned(),
                ));
            }
            let known = names(&grids);
            let wanted = name.trim().to_lowercase();
            let is_it = |grid: &Grid| {
                grid.sheet.as_deref().map(|s| s.trim().to_lowercase()).as_ref() == Some(&wanted)
            };
            return match grids.into_iter().find(is_it) {
                Some(grid) => self.in_grid(source, grid),
                None => Err(unexpected(
                    format!("no sheet \"{name}\""),
                    format!("one of its sheets, {known}"),
                )),
            };
        }
        let mut grids: Vec<Grid> =
            grids.into_iter().filter(|grid| !grid.rows.is_empty() && !grid.hidden).collect();
        // Those with the columns, else those with a usual header, else those with anything.
        let tests: [&dyn Fn(&Grid) -> bool; 2] =
            [&|grid| self.fits(grid), &|grid| self.score(grid) > 1];
        for test in tests {
            if grids.iter().any(test) {
                grids.retain(test);
                break;
            }
        }
        if let [first, _, ..] = grids.as_slice() {
            let example = first.sheet.clone().unwrap_or_default();
            return Err(unexpected(
                format!("{} sheets that can be meant, {}", grids.len(), names(&grids)),
                format!("one; say which one to use (sheet = \"{example}\")"),
            ));
        }
        match grids.pop() {
            Some(grid) => self.in_grid(source, grid),
            None => Err(ReadError::NoRows { name: source.name.clone() }),
        }
    }

    fn in_grid(&self, source: &Source, grid: Grid) -> Result<Table, ReadError> {
        if grid.rows.is_empty() {
            return Err(ReadError::NoRows { name: source.name.clone() });
        }
        layout::table(grid, &self.named)
    }

    fn score(&self, grid: &Grid) -> usize {
        grid.rows
            .get(layout::header(grid, &self.named))
            .map_or(0, |row| layout::score(row, &self.named))
    }

    fn fits(&self, grid: &Grid) -> bool {
        let Some(row) = grid.rows.get(layout::header(grid, &self.named)) else { return false };
        let named = |name: &&str| row.filled().any(|cell| cell.eq_ignore_ascii_case(name.trim()));
        self.named.iter().all(named) && self.fits.is_none_or(|fits| fits(&row.cells))
    }
}
