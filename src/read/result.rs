//! Results as laboratories write them: numbers, limits, and words for none.

use super::ReadError;
use super::number::{number, parse};
use super::table::{Row, Table};
use crate::units::Share;
use crate::warning::Warning;

/// Words for a result that is not there, in lower case.
const NONE: &[&str] = &[
    "-",
    "--",
    "---",
    "\u{2013}",
    "\u{2014}",
    "*",
    "na",
    "n/a",
    "n.a.",
    "nd",
    "n.d.",
    "n/d",
    "nr",
    "n/r",
    "ns",
    "isn",
    "i.s.",
    "nsf",
    "qns",
    "q.n.s.",
    "quantity not sufficient",
    "not received",
    "lost",
    "void",
    "none",
    "null",
    "pending",
    "tbd",
    "missing",
    "no result",
    "not tested",
    "not analyzed",
    "not reported",
    "not requested",
    "insufficient",
    "insufficient sample",
    "no sample",
];

/// What becomes of results below detection.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum BelowDetection {
    /// A share of the limit is used.
    Use(Share),
    /// The sample is left out.
    LeaveOut,
}

impl BelowDetection {
    /// Half of the limit is what is commonly used (common practice, no source).
    const USUAL: f64 = 50.0;

    /// What the setting says; half of the limit without one.
    pub fn read(name: &str, setting: Option<&str>) -> Result<Self, ReadError> {
        let Some(text) = setting.map(str::trim) else {
            return Ok(Self::Use(Share::percent(Self::USUAL)));
        };
        let percent = match text {
            "leave out" => return Ok(Self::LeaveOut),
            "half" => Some(Self::USUAL),
            other => other.strip_suffix('%').and_then(|number| parse(number.trim(), false)),
        };
        match percent.filter(|percent| *percent > 0.0 && *percent <= 100.0) {
            Some(percent) => Ok(Self::Use(Share::percent(percent))),
            None => Err(ReadError::Unexpected {
                place: format!("{name}, below_detection setting"),
                found: format!("\"{text}\""),
                expected:
                    "\"leave out\", or the share of the limit to use: \"half\", or such as \"70 %\""
                        .to_owned(),
            }),
        }
    }
}

/// Reads the results of one column, and remembers what was no plain number.
pub(super) struct Results {
    below: BelowDetection,
    words: Vec<String>,
    limits: Vec<String>,
    beyond: Vec<String>,
    numbers: usize,
}

impl Results {
    pub fn new(below: BelowDetection) -> Self {
        Results { below, words: Vec::new(), limits: Vec::new(), beyond: Vec::new(), numbers: 0 }
    }

    /// Whether a cell holds a limit in place of a result.
    pub fn is_limit(cell: &str) -> bool {
        cell.starts_with(['<', '>'])
    }

    /// The result in a cell; `None` where there is none.
    ///
    /// # Errors
    /// When the cell holds something else.
    pub fn read(
        &mut self,
        table: &Table,
        row: &Row,
        column: usize,
    ) -> Result<Option<f64>, ReadError> {
        let cell = row.cell(column);
        let told =
            || format!("\"{cell}\" ({})", row.place.rsplit_once(", ").map_or("", |(_, at)| at));
        let limit = |mark: char| {
            parse(cell.strip_prefix(mark)?.trim_start_matches('=').trim(), table.decimal_comma)
        };
        if NONE.contains(&cell.to_lowercase().as_str()) {
            self.words.push(told());
            return Ok(None);
        }
        if let Some(limit) = limit('<').filter(|limit| *limit > 0.0) {
            self.limits.push(told());
            return Ok(match self.below {
                BelowDetection::Use(share) => Some(limit * share.as_percent() / 100.0),
                BelowDetection::LeaveOut => None,
            });
        }
        if limit('>').is_some() {
            self.beyond.push(told());
            return Ok(None);
        }
        let number = number(table, row, column)?;
        self.numbers += usize::from(number.is_some());
        Ok(number)
    }

    /// Tells what was no plain number.
    ///
    /// # Errors
    /// When there was nothing else.
    pub fn tell(
        self,
        table: &Table,
        column: usize,
        warnings: &mut Vec<Warning>,
    ) -> Result<(), ReadError> {
        let place = format!("{}, column \"{}\"", table.name, table.header(column));
        let Results { below, words, limits, beyond, numbers } = self;
        let none = words.is_empty() && limits.is_empty() && beyond.is_empty();
        if !none && numbers == 0 {
            return Err(ReadError::Unexpected {
                place,
                found: "no number".to_owned(),
                expected: "results; is it the right column?".to_owned(),
            });
        }
        if !words.is_empty() {
            warnings.push(Warning::ResultMissing { place: place.clone(), cells: words });
        }
        if !beyond.is_empty() {
            warnings.push(Warning::ResultAboveRange { place: place.clone(), cells: beyond });
        }
        if !limits.is_empty() {
            let used = match below {
                BelowDetection::LeaveOut => None,
                BelowDetection::Use(share) => Some(share),
            };
            warnings.push(Warning::ResultBelowDetection { place, cells: limits, used });
        }
        Ok(())
    }
}
