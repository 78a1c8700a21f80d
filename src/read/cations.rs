use super::columns;
use super::number::number;
use super::table::{Row, Table};
use super::{CationSettings, ReadError};
use crate::soil::{CationUnit, Cations, Element};
use crate::warning::Warning;

/// The columns that a table has exchangeable cations in.
pub(super) struct CationColumns {
    potassium: Column,
    magnesium: Column,
    calcium: Column,
    /// Many laboratories do not measure sodium.
    pub sodium: Option<Column>,
}

/// A cation's column and its unit, if anything says it.
pub(super) struct Column {
    element: Element,
    index: usize,
    pub unit: Option<CationUnit>,
}

type Spellings = (&'static str, &'static str, &'static [&'static str]);

fn spellings(element: Element) -> Spellings {
    match element {
        Element::Potassium => ("K", "potassium", &["k", "potassium", "exchk", "exchangeablek"]),
        Element::Magnesium => ("Mg", "magnesium", &["mg", "magnesium", "exchmg", "exchangeablemg"]),
        Element::Calcium => ("Ca", "calcium", &["ca", "calcium", "exchca", "exchangeableca"]),
        Element::Sodium => ("Na", "sodium", &["na", "sodium", "exchna", "exchangeablena"]),
    }
}

impl CationColumns {
    /// Finds the columns; `None` unless potassium, magnesium and calcium are all there.
    pub fn find(table: &Table, settings: &CationSettings) -> Result<Option<Self>, ReadError> {
        let find = |element, setting: &Option<String>| {
            Column::find(table, element, setting.as_deref(), settings.unit)
        };
        let potassium = find(Element::Potassium, &settings.potassium)?;
        let magnesium = find(Element::Magnesium, &settings.magnesium)?;
        let calcium = find(Element::Calcium, &settings.calcium)?;
        let sodium = find(Element::Sodium, &settings.sodium)?;
        Ok(match (potassium, magnesium, calcium) {
            (Some(potassium), Some(magnesium), Some(calcium)) => {
                Some(CationColumns { potassium, magnesium, calcium, sodium })
            }
            _ => None,
        })
    }

    fn all(&self) -> impl Iterator<Item = &Column> {
        [&self.potassium, &self.magnesium, &self.calcium].into_iter().chain(&self.sodium)
    }

    /// Checks that every column's unit is known.
    pub fn units_known(&self, table: &Table) -> Result<(), ReadError> {
        match self.all().find(|column| column.unit.is_none()) {
            None => Ok(()),
            Some(column) => Err(ReadError::NoUnit {
                name: table.name.clone(),
                column: table.header(column.index).to_owned(),
            }),
        }
    }

    /// A warning of columns whose unit nothing says.
    pub fn without_unit(&self, table: &Table) -> Option<Warning> {
        let columns = self.all().filter(|column| column.unit.is_none());
        let columns = columns.map(|column| table.header(column.index).to_owned());
        let columns: Vec<String> = columns.collect();
        let file = table.name.clone();
        (!columns.is_empty()).then_some(Warning::CationsWithoutUnit { file, columns })
    }

    /// The cations of a row; `None` where a cell is empty or a unit is not known.
    pub fn read(&self, table: &Table, row: &Row) -> Result<Option<Cations>, ReadError> {
        let (potassium, magnesium, calcium) = (
            self.potassium.read(table, row)?,
            self.magnesium.read(table, row)?,
            self.calcium.read(table, row)?,
        );
        let sodium = self.sodium.as_ref().map(|column| column.read(table, row)).transpose()?;
        let (Some(potassium), Some(magnesium), Some(calcium)) = (potassium, magnesium, calcium)
        else {
            return Ok(None);
        };
        // A sodium column with an empty cell leaves the row as incomplete as any other empty cell.
        Ok(match sodium {
            Some(None) => None,
            Some(sodium) => Some(Cations { potassium, magnesium, calcium, sodium }),
            None => Some(Cations { potassium, magnesium, calcium, sodium: None }),
        })
    }
}

impl Column {
    pub fn find(
        table: &Table,
        element: Element,
        setting: Option<&str>,
        unit: Option<CationUnit>,
    ) -> Result<Option<Self>, ReadError> {
        let (symbol, key, names) = spellings(element);
        let index = if let Some(name) = setting {
            Some(columns::named(table, symbol, key, name)?)
        } else {
            let fits = |header: &str| {
                let (head, tail) = split(header);
                names.contains(&head.as_str())
                    && (tail.is_empty() || CationUnit::read(tail).is_some())
            };
            let fitting: Vec<usize> =
                (0..table.columns.len()).filter(|&i| fits(table.header(i))).collect();
            columns::single(table, symbol, key, &fitting)?
        };
        let Some(index) = index else { return Ok(None) };
        let in_header = CationUnit::read(split(table.header(index)).1);
        if let (Some(found), Some(set)) = (in_header, unit)
            && found != set
        {
            return Err(ReadError::BadUnit {
                name: table.name.clone(),
                column: table.header(index).to_owned(),
                unit: found.symbol().to_owned(),
                expected: format!("{} as the setting says", set.symbol()),
            });
        }
        Ok(Some(Column { element, index, unit: in_header.or(unit) }))
    }

    /// The amount in a row in meq/100 g.
    pub fn read(&self, table: &Table, row: &Row) -> Result<Option<f64>, ReadError> {
        match (number(table, row, self.index)?, self.unit) {
            (Some(amount), _) if amount < 0.0 => Err(ReadError::BadCell {
                place: row.place.clone(),
                column: table.header(self.index).to_owned(),
                value: row.cell(self.index).to_owned(),
                expected: "an amount of 0 or more",
            }),
            (Some(amount), Some(unit)) => Ok(Some(unit.milliequivalents(amount, self.element))),
            _ => Ok(None),
        }
    }
}

/// A header's name in lower case and what follows it, which is the unit: `K (lb/ac)`, `Ca_ppm`.
fn split(header: &str) -> (String, &str) {
    let header = header.trim();
    let end = header.find(|c: char| !c.is_alphanumeric()).unwrap_or(header.len());
    let (head, tail) = header.split_at(end);
    (
        head.to_lowercase(),
        tail.trim_matches([' ', '\t', '(', ')', '[', ']', '_', ',', '-', ':', '.']),
    )
}
