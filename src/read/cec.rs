use super::cations::CationColumns;
use super::columns::{self, CEC, bracketed_unit};
use super::number::number;
use super::table::{Row, Table};
use super::{Acidity, CationSettings, ReadError};
use crate::soil::{CationUnit, Cations, buffer_acidity};
use crate::warning::Warning;

/// How a table gives CEC and base cations.
pub(super) struct Rule {
    cec: Cec,
    cations: Option<CationColumns>,
}

enum Cec {
    Column(usize),
    Sum(AcidityColumn),
}

enum AcidityColumn {
    Milliequivalents(usize),
    Buffer { column: usize, reference: f64, factor: f64 },
}

impl Rule {
    /// Finds the CEC column or, without one, what CEC is summed from.
    pub fn find(
        table: &Table,
        cec: Option<&str>,
        settings: &CationSettings,
        warnings: &mut Vec<Warning>,
    ) -> Result<Self, ReadError> {
        let column = columns::find(table, &CEC, cec)?;
        // With a CEC column the cations are an extra: what is unclear about them is no error.
        let asked_for = *settings != CationSettings::default();
        let cations = match CationColumns::find(table, settings) {
            Err(_) if column.is_some() && !asked_for => None,
            found => found?,
        };
        let cec = match (column, &cations, &settings.acidity) {
            (Some(column), ..) => {
                is_milliequivalents(table, column)?;
                if settings.acidity.is_some() {
                    let (file, column) = (table.name.clone(), table.header(column).to_owned());
                    warnings.push(Warning::CecNotSummed { file, column });
                }
                Cec::Column(column)
            }
            (None, Some(cations), Some(acidity)) => {
                cations.units_known(table)?;
                if cations.sodium.is_none() {
                    warnings.push(Warning::SodiumNotMeasured { file: table.name.clone() });
                }
                Cec::Sum(AcidityColumn::find(table, acidity)?)
            }
            (None, cations, acidity) => {
                let hint = match (cations, acidity) {
                    (Some(_), _) => {
                        "; to sum CEC from K, Mg and Ca, say where the acidity is ([cations] acidity)"
                    }
                    (None, Some(_)) => {
                        "; to sum CEC, K, Mg and Ca must all be there with a known unit"
                    }
                    (None, None) => "",
                };
                let expected = "one such as \"CEC\", or its name as a setting (cec = \"…\")";
                return Err(columns::absent(table, "CEC", expected.to_owned(), hint.to_owned()));
            }
        };
        Ok(Rule { cec, cations })
    }

    /// The CEC and the cations of a row, meq/100 g; `None` where cells are empty.
    pub fn read(
        &self,
        table: &Table,
        row: &Row,
    ) -> Result<(Option<f64>, Option<Cations>), ReadError> {
        let cations = match &self.cations {
            Some(columns) => match (columns.read(table, row), &self.cec) {
                // Beside a CEC column a cation that is no number, such as "<5", is only left out.
                (Err(_), Cec::Column(_)) => None,
                (read, _) => read?,
            },
            None => None,
        };
        let cec = match &self.cec {
            Cec::Column(column) => number(table, row, *column)?,
            Cec::Sum(acidity) => {
                let acidity = acidity.read(table, row)?;
                cations.zip(acidity).map(|(cations, acidity)| cations.cec(acidity))
            }
        };
        Ok((cec, cations))
    }
}

impl AcidityColumn {
    fn find(table: &Table, acidity: &Acidity) -> Result<Self, ReadError> {
        let named = |name| columns::named(table, "acidity", "acidity", name);
        match acidity {
            Acidity::Column(name) => {
                let column = named(name)?;
                is_milliequivalents(table, column)?;
                Ok(AcidityColumn::Milliequivalents(column))
            }
            Acidity::Buffer { buffer_ph, reference, factor } => {
                let (column, reference, factor) = (named(buffer_ph)?, *reference, *factor);
                Ok(AcidityColumn::Buffer { column, reference, factor })
            }
        }
    }

    fn read(&self, table: &Table, row: &Row) -> Result<Option<f64>, ReadError> {
        let bad = |column: usize, expected| ReadError::BadCell {
            place: row.place.clone(),
            column: table.header(column).to_owned(),
            value: row.cell(column).to_owned(),
            expected,
        };
        match *self {
            AcidityColumn::Milliequivalents(column) => match number(table, row, column)? {
                Some(acidity) if acidity < 0.0 => Err(bad(column, "an amount of 0 or more")),
                acidity => Ok(acidity),
            },
            AcidityColumn::Buffer { column, reference, factor } => {
                match number(table, row, column)? {
                    Some(ph) if !(0.0..=14.0).contains(&ph) => Err(bad(column, "a pH of 0 to 14")),
                    ph => Ok(ph.map(|ph| buffer_acidity(ph, reference, factor))),
                }
            }
        }
    }
}

/// Checks that a header does not name another unit than meq/100 g in brackets or behind them:
/// `CEC (sum) meq/100 g`.
fn is_milliequivalents(table: &Table, column: usize) -> Result<(), ReadError> {
    let header = table.header(column);
    let Some(unit) = bracketed_unit(header) else { return Ok(()) };
    let is_known = |text: &str| CationUnit::read(text) == Some(CationUnit::Milliequivalents);
    let mut parts = unit.split(['(', ')', '[', ']']).map(str::trim);
    if is_known(unit) || parts.any(is_known) {
        return Ok(());
    }
    // Words in brackets may stand before the unit.
    let behind = unit.split_once(") ").map_or(unit, |(_, behind)| behind);
    Err(ReadError::BadUnit {
        name: table.name.clone(),
        column: header.to_owned(),
        unit: behind.to_owned(),
        expected: "meq/100 g or cmol(+)/kg".to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_unit_behind_the_brackets() {
        let said = |header: &str| {
            let table = Table {
                name: "s.csv".to_owned(),
                columns: vec![header.to_owned()],
                rows: vec![],
                points: None,
                decimal_comma: false,
                warnings: vec![],
            };
            is_milliequivalents(&table, 0).map_err(|error| error.to_string())
        };
        assert_eq!(said("CEC (Sum) meq/100 g"), Ok(()));
        assert_eq!(
            said("CEC (Sum) ppm").unwrap_err(),
            "s.csv, column \"CEC (Sum) ppm\": found unit \"ppm\", expected meq/100 g or cmol(+)/kg"
        );
    }
}
