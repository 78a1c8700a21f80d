//! What machines logged while they spread: records with time and place, values that hold until the
//! next of their kind, and what those values say of which part of which machine.
//!
//! Nobody's name is kept of a log: no customer, worker, farm or machine.

mod drive;
mod machine;
mod state;
mod way;

use geo::Coord;

pub use drive::{Drive, Step, Strip};
pub use machine::{LoggedMachine, MassSource, Number, Section, Switch, Total};
pub use state::State;
pub use way::{Pose, way};

/// A log: what was recorded in one go, by one machine or several.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// Its file, for messages.
    pub name: String,
    /// The records, in the file's order.
    pub stamps: Vec<Stamp>,
    /// What holds from the beginning.
    pub fixed: Vec<ValueChange>,
    /// The values of all records, one after the other.
    pub changes: Vec<ValueChange>,
    /// The machines that spread.
    pub machines: Vec<LoggedMachine>,
}

/// When and where a record was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stamp {
    /// Milliseconds since the beginning of 1980-01-01 by the machine's clock.
    pub time: u64,
    /// Longitude and latitude in WGS84, degrees, if there was a position.
    pub at: Option<Coord<f64>>,
    /// How many of the log's changes come before the next record.
    pub end: usize,
}

/// A value that was logged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ValueChange {
    /// Which of the log's values.
    pub channel: u8,
    /// The number, in the unit of its entry in the data dictionary.
    pub value: i32,
}

impl Stamp {
    /// The day as year-month-day.
    #[must_use]
    pub fn day(&self) -> String {
        const DAY: u64 = 86_400_000;
        let [year, month, day] = date(self.time / DAY);
        format!("{year:04}-{month:02}-{day:02}")
    }
}

/// The date so many days after 1980-01-01.
fn date(mut days: u64) -> [u64; 3] {
    let leap = |year: u64| {
        year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
    };
    let mut year = 1980;
    while days >= 365 + u64::from(leap(year)) {
        days -= 365 + u64::from(leap(year));
        year += 1;
    }
    let february = 28 + u64::from(leap(year));
    let mut month = 1;
    for length in [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] {
        if days < length {
            break;
        }
        days -= length;
        month += 1;
    }
    [year, month, days + 1]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days by `date -u -d '1980-01-01 + N days' +%F` of GNU coreutils.
    #[test]
    fn days_of_the_calendar() {
        for (days, expected) in [
            (0, [1980, 1, 1]),
            (59, [1980, 2, 29]),
            (366, [1981, 1, 1]),
            (7364, [2000, 2, 29]),
            (16_905, [2026, 4, 14]),
            (65_535, [2159, 6, 6]),
        ] {
            assert_eq!(date(days), expected, "{days}");
        }
    }
}
