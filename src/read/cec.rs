use super::cations::CationColumns;
use super::cec_unit::factor;
use super::columns::{self, CEC};
use super::heading::is_cec;
use super::number::number;
use super::result::{BelowDetection, Results};
use super::table::{Row, Table};
use super::{Acidity, CationSettings, ReadError};
use crate::soil::{Cations, buffer_acidity};
use crate::warning::Warning;

/// How a table gives CEC and base cations.
pub(super) struct CecRule {
    cec: Cec,
    cations: Option<CationColumns>,
    results: Results,
}

enum Cec {
    /// A column, and how many of its unit one meq/100 g is.
    Column(usize, f64),
    Sum(AcidityColumn),
}

enum AcidityColumn {
    Milliequivalents(usize, f64),
    Buffer { column: usize, reference: f64, factor: f64 },
}

impl CecRule {
    /// Finds the CEC column or, without one, what CEC is summed from.
    pub fn find(
        table: &Table,
        (cec, unit): (Option<&str>, Option<&str>),
        settings: &CationSettings,
        below: BelowDetection,
        warnings: &mut Vec<Warning>,
    ) -> Result<Self, ReadError> {
        let column = columns::find(table, &CEC, cec)?;
        if let Some((name, column)) = cec.zip(column) {
            columns::refuse_other_result(table, name, column)?;
        }
        // With a CEC column the cations are an extra: what is unclear about them is no error.
        let asked_for = *settings != CationSettings::default();
        let cations = match CationColumns::find(table, settings) {
            Err(error) if column.is_some() && !asked_for => {
                warnings.push(Warning::CationsUnclear { reason: error.to_string() });
                None
            }
            found => found?,
        };
        let cec = match (column, &cations, &settings.acidity) {
            (Some(column), ..) => {
                let factor = factor(table, column, unit, warnings)?;
                warnings.extend(cations.iter().filter_map(|found| found.without_unit(table)));
                if settings.acidity.is_some() {
                    let (file, column) = (table.name.clone(), table.header(column).to_owned());
                    warnings.push(Warning::CecNotSummed { file, column });
                }
                // Tenths are not exact: 82 is divided by 10.
                Cec::Column(column, 1.0 / factor)
            }
            (None, Some(cations), Some(acidity)) => {
                cations.units_known(table)?;
                if cations.sodium.is_none() {
                    warnings.push(Warning::SodiumNotMeasured { file: table.name.clone() });
                }
                Cec::Sum(AcidityColumn::find(table, acidity, warnings)?)
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
                let hint = format!("{hint}{}", turned(table));
                return Err(columns::absent(table, "CEC", expected.to_owned(), hint));
            }
        };
        Ok(CecRule { cec, cations, results: Results::new(below) })
    }

    /// The CEC and the cations of a row, meq/100 g; `None` where cells are empty.
    pub fn read(
        &mut self,
        table: &Table,
        row: &Row,
    ) -> Result<(Option<f64>, Option<Cations>), ReadError> {
        let cations = match &self.cations {
            Some(columns) => match (columns.read(table, row), &self.cec) {
                // Beside a CEC column a cation that is no number, such as "<5", is only left out.
                (Err(_), Cec::Column(..)) => None,
                (read, _) => read?,
            },
            None => None,
        };
        let cec = match &self.cec {
            Cec::Column(column, of_unit) => {
                self.results.read(table, row, *column)?.map(|cec| cec / of_unit)
            }
            Cec::Sum(acidity) => {
                let acidity = acidity.read(table, row)?;
                cations.zip(acidity).map(|(cations, acidity)| cations.cec(acidity))
            }
        };
        Ok((cec, cations))
    }

    /// Whether a row has a limit in place of the CEC, of which bases are no shares.
    pub fn is_limit(&self, row: &Row) -> bool {
        matches!(self.cec, Cec::Column(column, _) if Results::is_limit(row.cell(column)))
    }

    /// Tells of results that were no plain numbers.
    ///
    /// # Errors
    /// When there was none but such.
    pub fn tell(self, table: &Table, warnings: &mut Vec<Warning>) -> Result<(), ReadError> {
        match self.cec {
            Cec::Column(column, _) => self.results.tell(table, column, warnings),
            Cec::Sum(_) => Ok(()),
        }
    }
}

/// Says so if the name of CEC stands where results are: such a table has a row for each result, or
/// its samples side by side.
fn turned(table: &Table) -> String {
    let found = table.rows.iter().find_map(|row| {
        let column = (0..table.columns.len()).find(|&column| is_cec(row.cell(column)))?;
        Some((row, column))
    });
    found.map_or_else(String::new, |(row, column)| {
        format!(
            "; {} has \"{}\" in column \"{}\": turn the table, so that each sample has one row and each result one column",
            row.place,
            row.cell(column),
            table.header(column)
        )
    })
}

impl AcidityColumn {
    fn find(
        table: &Table,
        acidity: &Acidity,
        warnings: &mut Vec<Warning>,
    ) -> Result<Self, ReadError> {
        let named = |name| columns::named(table, "acidity", "acidity", name);
        match acidity {
            Acidity::Column(name) => {
                let column = named(name)?;
                let factor = factor(table, column, None, warnings)?;
                Ok(AcidityColumn::Milliequivalents(column, factor))
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
            AcidityColumn::Milliequivalents(column, factor) => match number(table, row, column)? {
                Some(acidity) if acidity < 0.0 => Err(bad(column, "an amount of 0 or more")),
                acidity => Ok(acidity.map(|acidity| acidity * factor)),
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
