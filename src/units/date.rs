use std::fmt;

/// A day of the calendar, as ISO 8601 writes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    year: u32,
    month: u32,
    day: u32,
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

impl Date {
    /// A day such as `2026-04-14`; none where there is no such day.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let parts: Vec<&str> = text.split('-').collect();
        let [year, month, day] = parts.as_slice() else { return None };
        let number = |part: &str, count| {
            let digits = part.len() == count && part.bytes().all(|b| b.is_ascii_digit());
            digits.then(|| part.parse::<u32>().ok()).flatten()
        };
        Self::of(number(year, 4)?, number(month, 2)?, number(day, 2)?)
    }

    /// A day by its numbers; none where there is no such day.
    #[must_use]
    pub fn of(year: u32, month: u32, day: u32) -> Option<Self> {
        let leap =
            year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
        let days = match month {
            2 => 28 + u32::from(leap),
            4 | 6 | 9 | 11 => 30,
            1..=12 => 31,
            _ => 0,
        };
        (1..=days).contains(&day).then_some(Self { year, month, day })
    }

    /// The day in words, such as `April 14, 2026`.
    #[must_use]
    pub fn in_words(self) -> String {
        let month = MONTHS.get(self.month.saturating_sub(1) as usize).copied().unwrap_or_default();
        format!("{month} {}, {}", self.day, self.year)
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The Gregorian calendar: 2000 and 2024 are leap years, 1900 is not.
    #[test]
    fn days_of_the_calendar() {
        for day in ["2024-02-29", "2000-02-29", "2026-12-31"] {
            assert_eq!(Date::read(day).unwrap().to_string(), day);
        }
        for day in ["1900-02-29", "2026-04-31", "2026-13-01", "2026-00-10", "26-04-14", "2026-4-14"]
        {
            assert_eq!(Date::read(day), None, "{day}");
        }
        assert_eq!(Date::read("2026-04-07").unwrap().in_words(), "April 7, 2026");
    }
}
