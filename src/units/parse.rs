use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error, Visitor};

use super::quantity::is_one_case;
use super::{Quantity, System, round_to};

/// A quantity as somebody wrote it, with the system of its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written<Q> {
    /// The quantity.
    pub value: Q,
    /// The system that its unit belongs to.
    pub system: System,
}

impl<Q: Quantity> fmt::Display for Written<Q> {
    /// As it is written, to two decimals where it has them.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = round_to(self.value.value_in(self.system), 2);
        write!(f, "{value} {}", Q::unit(self.system).symbol())
    }
}

/// Why a text is not a quantity. Reads as `"4 furlongs": found unit "furlongs", expected …`.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UnitError {
    /// There is no number before the unit.
    #[error("\"{text}\": found no number, expected a {quantity} such as \"{example}\"")]
    NoNumber {
        /// What was written.
        text: String,
        /// The kind of quantity expected.
        quantity: &'static str,
        /// One good spelling.
        example: String,
    },
    /// There is a number but no unit.
    #[error("\"{text}\": found no unit, expected a {quantity} such as \"{example}\"")]
    NoUnit {
        /// What was written.
        text: String,
        /// The kind of quantity expected.
        quantity: &'static str,
        /// One good spelling.
        example: String,
    },
    /// The unit is not one of this quantity's.
    #[error("\"{text}\": found unit \"{unit}\", expected a {quantity} in {known}")]
    UnknownUnit {
        /// What was written.
        text: String,
        /// The part that was read as the unit.
        unit: String,
        /// The kind of quantity expected.
        quantity: &'static str,
        /// The units that are known.
        known: String,
    },
    /// A comma that may divide thousands or be a decimal mark.
    #[error(
        "\"{text}\": found a comma, expected a {quantity} with a point for decimals and no other mark"
    )]
    Comma {
        /// What was written.
        text: String,
        /// The kind of quantity expected.
        quantity: &'static str,
    },
    /// The number is infinite.
    #[error("\"{text}\": the number is too large for a {quantity}")]
    NotFinite {
        /// What was written.
        text: String,
        /// The kind of quantity expected.
        quantity: &'static str,
    },
}

impl<Q: Quantity> Written<Q> {
    /// Reads a number and its unit, such as `"0.5 ton/ac"`, `"18m"`, `"50'"` or `"1,000 lb/ac"`.
    ///
    /// # Errors
    /// When the number or the unit is missing, the unit is not one of this quantity's, or a comma does
    /// not surely divide thousands: those of US units may be divided, as Americans do.
    pub fn read(text: &str) -> Result<Self, UnitError> {
        let trimmed = text.trim();
        let split = number_length(trimmed);
        let (number, unit) = trimmed.split_at(split);
        let unit = unit.trim();
        let (whole, has_comma) = (without_commas(number), number.contains(','));
        let quantity = Q::NAME;
        let example = || format!("1 {}", Q::UNITS.first().map_or("", |u| u.symbol()));
        let text = || text.to_owned();
        let Ok(number) = whole.parse::<f64>() else {
            return Err(UnitError::NoNumber { text: text(), quantity, example: example() });
        };
        if unit.is_empty() {
            return Err(UnitError::NoUnit { text: text(), quantity, example: example() });
        }
        let plain = plain(unit);
        let Some(found) = Q::UNITS.iter().find(|known| known.is_spelled(&plain)) else {
            let known: Vec<&str> = Q::UNITS.iter().map(super::Unit::symbol).collect();
            let (unit, known) = (unit.to_owned(), known.join(", "));
            return Err(UnitError::UnknownUnit { text: text(), unit, quantity, known });
        };
        if has_comma && !(found.system == System::Us && divides_thousands(trimmed)) {
            return Err(UnitError::Comma { text: text(), quantity });
        }
        let si = number * found.si;
        if !si.is_finite() {
            return Err(UnitError::NotFinite { text: text(), quantity });
        }
        Ok(Written { value: Q::from_si(si), system: found.system })
    }
}

/// A unit with `/` for "per", without blanks around it.
fn plain(unit: &str) -> String {
    let parts: Vec<&str> = unit.split_whitespace().collect();
    let joined = parts.join(" ");
    joined.replace(" per ", "/").replace(" /", "/").replace("/ ", "/")
}

fn without_commas(number: &str) -> String {
    number.replace(',', "")
}

/// Whether the commas of the number at a text's start stand as Americans divide thousands:
/// `1,000`, `12,500.5`.
fn divides_thousands(text: &str) -> bool {
    let number = text.get(..number_length(text)).unwrap_or(text);
    let number = number.trim_start_matches(['+', '-']);
    let whole = number.split(['.', 'e', 'E']).next().unwrap_or(number);
    let (first, rest) = whole.split_once(',').unwrap_or((whole, ""));
    !number.trim_start_matches(whole).contains(',')
        && (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && rest.split(',').all(|group| group.len() == 3)
}

/// How many bytes of the text are the number: sign, digits with commas, point, exponent.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let at = |i: usize| bytes.get(i).copied().unwrap_or(b' ');
    let digits = |mut i: usize| {
        while at(i).is_ascii_digit()
            || at(i) == b'.'
            || (at(i) == b',' && at(i + 1).is_ascii_digit())
        {
            i += 1;
        }
        i
    };
    let mantissa = digits(usize::from(matches!(at(0), b'+' | b'-')));
    if matches!(at(mantissa), b'e' | b'E') {
        let sign = mantissa + 1 + usize::from(matches!(at(mantissa + 1), b'+' | b'-'));
        if at(sign).is_ascii_digit() {
            return digits(sign);
        }
    }
    mantissa
}

impl<'de, Q: Quantity> Deserialize<'de> for Written<Q> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Text<Q>(PhantomData<Q>);
        impl<Q: Quantity> Visitor<'_> for Text<Q> {
            type Value = Written<Q>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let unit = Q::UNITS.first().map_or("", super::Unit::symbol);
                write!(f, "a {} in quotes with its unit, such as \"1 {unit}\"", Q::NAME)
            }

            fn visit_str<E: Error>(self, text: &str) -> Result<Self::Value, E> {
                Written::read(text).map_err(E::custom)
            }
        }
        deserializer.deserialize_any(Text(PhantomData))
    }
}

impl<Q: Quantity> JsonSchema for Written<Q> {
    fn schema_name() -> Cow<'static, str> {
        // It goes into references, where a space would be written %20.
        Q::NAME.replace(' ', "_").into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let symbols: Vec<&str> = Q::UNITS.iter().map(super::Unit::symbol).collect();
        let example = format!("1 {}", symbols.first().copied().unwrap_or_default());
        json_schema!({
            "type": "string",
            "description": format!("A number and its unit: {}.", symbols.join(", ")),
            "pattern": pattern(Q::UNITS),
            "examples": [example],
        })
    }
}

/// What [`Written::read`] takes, as a pattern of JSON Schema, which knows no "whatever the case".
fn pattern(units: &[super::Unit]) -> String {
    let letter = |letter: char, one_case: bool| match letter {
        letter if letter.is_ascii_alphabetic() && !one_case => {
            format!("[{}{}]", letter.to_ascii_lowercase(), letter.to_ascii_uppercase())
        }
        '/' => r"(\s*/\s*|\s+per\s+)".to_owned(),
        '.' => r"\.".to_owned(),
        ' ' => r"\s+".to_owned(),
        letter => letter.to_string(),
    };
    let of = |is_one: &dyn Fn(&super::Unit) -> bool| {
        let spellings = units.iter().filter(|unit| is_one(unit)).flat_map(|unit| unit.spellings);
        let mut spellings: Vec<String> = spellings
            .map(|spelling| {
                let one_case = is_one_case(spelling);
                spelling.chars().map(|c| letter(c, one_case)).collect()
            })
            .collect();
        spellings.sort();
        spellings.dedup();
        spellings.join("|")
    };
    let (all, us) = (of(&|_| true), of(&|unit| unit.system == System::Us));
    let plain = format!(r"([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?\s*({all})");
    let divided = format!(r"[1-9][0-9]{{0,2}}(,[0-9]{{3}})+(\.[0-9]*)?\s*({us})");
    format!(r"^\s*[+-]?({plain}|{divided})\s*$")
}

#[cfg(test)]
mod tests {
    use super::super::{Length, Rate};
    use super::*;

    fn rate(text: &str) -> Result<Written<Rate>, UnitError> {
        Written::read(text)
    }

    #[test]
    fn spellings() {
        for text in ["0.5 ton/ac", "0.5ton/ac", " 0.5 tons/acre ", "5e-1 ton/ac", "1000 lb/ac"] {
            let read = rate(text).unwrap();
            assert!((read.value.as_tons_per_acre() - 0.5).abs() < 1e-15, "{text}");
            assert_eq!(read.system, System::Us);
        }
        assert_eq!(rate("1.1 t/ha").unwrap().system, System::Metric);
        assert!((rate("1100 kg/ha").unwrap().value.as_tonnes_per_hectare() - 1.1).abs() < 1e-12);
    }

    /// As people in the trade write them (from memory).
    #[test]
    fn as_people_write_them() {
        for text in [
            "0.5 T/A",
            "0.5 T/ac",
            "0.5 tons per acre",
            "0.5 Ton / Ac",
            "1,000 lb/ac",
            "1,000.0 #/ac",
        ] {
            let read = rate(text).unwrap();
            assert!((read.value.as_tons_per_acre() - 0.5).abs() < 1e-15, "{text}");
        }
        let feet = |text| Written::<Length>::read(text).unwrap().value.as_feet();
        for text in ["50'", "50\u{2019}", "50 ft.", "600\"", "600 in.", "50 Feet"] {
            assert!((feet(text) - 50.0).abs() < 1e-12, "{text}");
        }
        assert!((feet("5,280 ft") - 5280.0).abs() < 1e-9);
    }

    /// Each of these is one thing to one reader and another to the next.
    #[test]
    fn nothing_is_guessed() {
        let said = |text| rate(text).unwrap_err().to_string();
        let comma = "found a comma, expected a rate with a point for decimals and no other mark";
        for text in [
            "0,5 ton/ac",
            "1,5 ton/ac",
            "0,500 ton/ac",
            "1,000 t/ha",
            "1,0000 lb/ac",
            "1.5,000 lb/ac",
        ] {
            assert_eq!(said(text), format!("\"{text}\": {comma}"));
        }
        for text in ["1 t/a", "1 t/ac"] {
            assert!(said(text).contains(": found unit \"t/a"), "{text}");
        }
        assert!(Written::<super::super::Mass>::read("24 T").is_err(), "short or metric?");
    }

    #[test]
    fn faults_are_named() {
        let said = |text| rate(text).unwrap_err().to_string();
        assert_eq!(
            said("ton/ac"),
            "\"ton/ac\": found no number, expected a rate such as \"1 ton/ac\""
        );
        assert_eq!(said("0.5"), "\"0.5\": found no unit, expected a rate such as \"1 ton/ac\"");
        assert_eq!(
            said("2 furlongs"),
            "\"2 furlongs\": found unit \"furlongs\", expected a rate in ton/ac, lb/ac, t/ha, kg/ha"
        );
        assert_eq!(said("1e999 ton/ac"), "\"1e999 ton/ac\": the number is too large for a rate");
        let metres = Written::<Length>::read("10 ft").unwrap().value.as_metres();
        assert!((metres - 3.048).abs() < 1e-15);
    }
}
