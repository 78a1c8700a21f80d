//! A tier in one line, as it is typed on the command line: `under 10: 0.5 ton/ac`.

use std::str::FromStr;

use super::TierSetting;
use crate::units::{Rate, Written};

/// Why a text is not a tier.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "found \"{text}\"{reason}, expected CEC bounds and a rate, such as \"under 10: 0.5 ton/ac\", \"10 to 15: 1 ton/ac\", \"over 15: 2 ton/ac\" or \"all: 1 ton/ac\""
)]
pub struct TierTextError {
    text: String,
    reason: String,
}

impl FromStr for TierSetting {
    type Err = TierTextError;

    /// Reads bounds, a colon and a rate. The bounds are `under 10`, `up to 10`, `10 to 15` (or
    /// `10-15`, both included), `over 10 to 15`, `from 10 under 15`, `over 15`, `from 15`, `15 and
    /// over`, or `all`.
    fn from_str(text: &str) -> Result<Self, TierTextError> {
        let fault = |reason: String| TierTextError { text: text.trim().to_owned(), reason };
        let (bounds, rate) =
            text.rsplit_once([':', '=']).ok_or_else(|| fault(" without a colon".to_owned()))?;
        let rate =
            Written::<Rate>::read(rate.trim()).map_err(|error| fault(format!(" with {error}")))?;
        let mut tier =
            TierSetting { label: None, from: None, over: None, to: None, under: None, rate };
        tier.bounded(bounds).ok_or_else(|| fault(String::new()))?;
        Ok(tier)
    }
}

impl TierSetting {
    /// Takes in bounds; `None` where they are not understood, or there are two on one side.
    fn bounded(&mut self, bounds: &str) -> Option<()> {
        let spaced = bounds
            .to_lowercase()
            .replace(['\u{2013}', '-'], " to ")
            .replace("<=", " to ")
            .replace('\u{2264}', " to ")
            .replace(">=", " from ")
            .replace('\u{2265}', " from ")
            .replace('<', " under ")
            .replace('>', " over ");
        let words: Vec<&str> = spaced
            .split_whitespace()
            .filter(|word| !matches!(*word, "cec" | "and" | "up"))
            .collect();
        if let ["all" | "everywhere" | "whole"] | ["whole", "field"] = words.as_slice() {
            return Some(());
        }
        let mut rest = words.as_slice();
        while !rest.is_empty() {
            rest = match rest {
                ["from", value, more @ ..] => put(&mut self.from, value, more),
                ["over" | "above", value, more @ ..] => put(&mut self.over, value, more),
                ["to", "under" | "below", value, more @ ..]
                | ["under" | "below", value, more @ ..] => put(&mut self.under, value, more),
                ["to", value, more @ ..] => put(&mut self.to, value, more),
                // "15 and over" is not "over 15".
                [value, "over" | "above"] => put(&mut self.from, value, &[]),
                [value, "under" | "below"] => put(&mut self.to, value, &[]),
                [value, more @ ..] if matches!(more.first(), Some(&("to" | "under"))) => {
                    put(&mut self.from, value, more)
                }
                _ => None,
            }?;
        }
        let lower = usize::from(self.from.is_some()) + usize::from(self.over.is_some());
        let upper = usize::from(self.to.is_some()) + usize::from(self.under.is_some());
        (lower <= 1 && upper <= 1 && lower + upper > 0).then_some(())
    }
}

/// Puts a number where nothing is yet, and gives what follows it.
fn put<'a>(bound: &mut Option<f64>, value: &str, more: &'a [&'a str]) -> Option<&'a [&'a str]> {
    let number = value.parse::<f64>().ok().filter(|number| number.is_finite());
    match (&bound, number) {
        (None, Some(number)) => {
            *bound = Some(number);
            Some(more)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From, over, to, under.
    fn bounds(text: &str) -> [Option<f64>; 4] {
        let tier: TierSetting = format!("{text}: 1 ton/ac").parse().unwrap();
        [tier.from, tier.over, tier.to, tier.under]
    }

    #[test]
    fn bounds_as_people_say_them() {
        let (ten, fifteen) = (Some(10.0), Some(15.0));
        for (text, expected) in [
            ("under 10", [None, None, None, ten]),
            ("CEC < 10", [None, None, None, ten]),
            ("up to 10", [None, None, ten, None]),
            ("10 to 15", [ten, None, fifteen, None]),
            ("10-15", [ten, None, fifteen, None]),
            ("10 \u{2013} 15", [ten, None, fifteen, None]),
            ("from 10 under 15", [ten, None, None, fifteen]),
            ("10 to under 15", [ten, None, None, fifteen]),
            ("over 10 to 15", [None, ten, fifteen, None]),
            ("over 15", [None, fifteen, None, None]),
            (">15", [None, fifteen, None, None]),
            (">= 15", [fifteen, None, None, None]),
            ("15 and over", [fifteen, None, None, None]),
            ("15 and above", [fifteen, None, None, None]),
            ("all", [None; 4]),
        ] {
            assert_eq!(bounds(text), expected, "{text}");
        }
    }

    #[test]
    fn what_is_no_tier() {
        let said = |text: &str| text.parse::<TierSetting>().unwrap_err().to_string();
        let expected = "expected CEC bounds and a rate, such as \"under 10: 0.5 ton/ac\", \"10 to 15: 1 ton/ac\", \"over 15: 2 ton/ac\" or \"all: 1 ton/ac\"";
        assert_eq!(said("under 10"), format!("found \"under 10\" without a colon, {expected}"));
        assert_eq!(
            said("under 10: 0.5"),
            format!(
                "found \"under 10: 0.5\" with \"0.5\": found no unit, expected a rate such as \"1 ton/ac\", {expected}"
            )
        );
        for text in [
            "10",
            "ten to 15",
            "under",
            "over 10 over 12",
            "10 15",
            "from 3 over 5",
            "",
            "10 to 15 to 20",
        ] {
            let text = format!("{text}: 1 ton/ac");
            assert_eq!(said(&text), format!("found \"{text}\", {expected}"));
        }
    }
}
