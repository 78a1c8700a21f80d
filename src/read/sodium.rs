use super::cations::Column;
use super::columns::{self, Spellings, WantedColumn};
use super::number::number;
use super::table::{Row, Table};
use super::{CationSettings, ReadError};
use crate::soil::Element;
use crate::units::Share;

const ESP: WantedColumn = WantedColumn {
    what: "ESP",
    key: "esp",
    spellings: Spellings::Tiers(&[&[
        "esp",
        "exchangeablesodiumpercentage",
        "exchangeablesodiumpercent",
        "nasat",
        "bsna",
        "nasaturation",
        "sodiumsaturation",
    ]]),
};

/// Where a table has exchangeable sodium.
pub(super) enum Sodium {
    /// As a percentage of the CEC (ESP).
    Percentage(usize),
    /// As an amount of known unit.
    Amount(Column),
}

impl Sodium {
    /// Finds it; `None` also where it is not clear, since nothing is planned by it.
    pub fn find(table: &Table, settings: &CationSettings) -> Option<Self> {
        if let Ok(Some(column)) = columns::find(table, &ESP, None) {
            return Some(Self::Percentage(column));
        }
        let setting = settings.sodium.as_deref();
        let column = Column::find(table, Element::Sodium, setting, settings.unit).ok()??;
        column.unit.is_some().then_some(Self::Amount(column))
    }

    /// A row's exchangeable sodium percentage; `None` where a cell is empty or no number, such as
    /// `<5`.
    ///
    /// # Errors
    /// When a percentage is none.
    pub fn read(
        &self,
        table: &Table,
        row: &Row,
        cec: Option<f64>,
    ) -> Result<Option<Share>, ReadError> {
        match self {
            Self::Percentage(column) => match number(table, row, *column) {
                Ok(Some(esp)) if !(0.0..=100.0).contains(&esp) => Err(ReadError::BadCell {
                    place: row.place.clone(),
                    column: table.header(*column).to_owned(),
                    value: row.cell(*column).to_owned(),
                    expected: "a percentage of 0 to 100",
                }),
                Ok(esp) => Ok(esp.map(Share::percent)),
                Err(_) => Ok(None),
            },
            Self::Amount(column) => {
                let sodium = column.read(table, row).unwrap_or(None);
                let share = |(sodium, cec): (f64, f64)| Share::percent(100.0 * sodium / cec);
                Ok(sodium.zip(cec.filter(|cec| *cec > 0.0)).map(share))
            }
        }
    }
}
