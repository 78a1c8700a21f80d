use super::CationSettings;
use super::columns::{self, Spellings, WantedColumn, bracketed_unit};
use super::number::number;
use super::settings::Acidity;
use super::table::{Row, Table};
use crate::soil::{CationUnit, Cations};
use crate::warning::Warning;

const ACIDITY: WantedColumn = WantedColumn {
    what: "acidity",
    key: "acidity",
    spellings: Spellings::Tiers(&[&[
        "h",
        "exchh",
        "exchangeableh",
        "hydrogen",
        "acidity",
        "exchacidity",
        "exchangeableacidity",
        "totalacidity",
    ]]),
};

/// Fewer samples say nothing of a unit.
const FEWEST: usize = 3;
/// Bases alone are this share of the CEC at least on farmed soil; less is a unit mistaken (common
/// practice, no source).
const LEAST_BASES: f64 = 0.2;
/// With acidity they are all of it; methods differ by less than a third (common practice, no source).
const LEAST_SUM: f64 = 0.67;
/// Above this the extract dissolved more than what is exchangeable: free lime, or a unit is mistaken
/// (common practice, no source).
const MOST: f64 = 1.3;
/// Above this not even lime explains it (common practice, no source).
const MOST_WITH_LIME: f64 = 5.0;

/// Whether a table's cations agree with its CEC: both are there, so that a unit mistaken in one of
/// them shows.
pub(super) struct Agreement {
    acidity: Option<usize>,
    /// The part of each sample's CEC that its cations come to.
    shares: Vec<f64>,
}

impl Agreement {
    pub fn new(table: &Table, settings: &CationSettings) -> Self {
        let column = match &settings.acidity {
            Some(Acidity::Column(name)) => columns::find(table, &ACIDITY, Some(name)),
            _ => columns::find(table, &ACIDITY, None),
        };
        let is_known = |column: &usize| {
            let unit = bracketed_unit(table.header(*column)).and_then(CationUnit::read);
            unit.or(settings.unit) == Some(CationUnit::Milliequivalents)
        };
        Self { acidity: column.ok().flatten().filter(is_known), shares: Vec::new() }
    }

    /// Takes in a row that has both.
    pub fn add(&mut self, table: &Table, row: &Row, cec: Option<f64>, cations: Option<&Cations>) {
        let Some((cec, cations)) = cec.filter(|cec| *cec > 0.0).zip(cations) else { return };
        let acidity = self.acidity.map(|column| number(table, row, column).ok().flatten());
        match acidity {
            // A row without acidity says less than the others.
            Some(None) => {}
            Some(Some(acidity)) => self.shares.push(cations.cec(acidity) / cec),
            None => self.shares.push(cations.bases() / cec),
        }
    }

    /// What is wrong in the middle of the samples, if anything is.
    pub fn warning(mut self, table: &Table) -> Option<Warning> {
        if self.shares.len() < FEWEST {
            return None;
        }
        self.shares.sort_by(f64::total_cmp);
        let share = self.shares.get(self.shares.len() / 2).copied()?;
        let with_acidity = self.acidity.is_some();
        let least = if with_acidity { LEAST_SUM } else { LEAST_BASES };
        let file = table.name.clone();
        if share < least || share > MOST_WITH_LIME {
            return Some(Warning::CecContradicted { file, share, with_acidity });
        }
        (share > MOST).then_some(Warning::BasesOverCec { file, share })
    }
}
