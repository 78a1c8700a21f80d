use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error, Visitor};

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
    /// Reads a number and its unit, such as `"0.5 ton/ac"` or `"18m"`.
    ///
    /// # Errors
    /// When the number or the unit is missing, or the unit is not one of this quantity's.
    pub fn read(text: &str) -> Result<Self, UnitError> {
        let trimmed = text.trim();
        let split = number_length(trimmed);
        let (number, unit) = trimmed.split_at(split);
        let unit = unit.trim();
        let quantity = Q::NAME;
        let example = || format!("1 {}", Q::UNITS.first().map_or("", |u| u.symbol()));
        let text = || text.to_owned();
        let Ok(number) = number.parse::<f64>() else {
            return Err(UnitError::NoNumber { text: text(), quantity, example: example() });
        };
        if unit.is_empty() {
            return Err(UnitError::NoUnit { text: text(), quantity, example: example() });
        }
        let Some(found) = Q::UNITS.iter().find(|known| known.is_spelled(unit)) else {
            let known: Vec<&str> = Q::UNITS.iter().map(super::Unit::symbol).collect();
            let (unit, known) = (unit.to_owned(), known.join(", "));
            return Err(UnitError::UnknownUnit { text: text(), unit, quantity, known });
        };
        let si = number * found.si;
        if !si.is_finite() {
            return Err(UnitError::NotFinite { text: text(), quantity });
        }
        Ok(Written { value: Q::from_si(si), system: found.system })
    }
}

/// How many bytes of the text are the number: sign, digits, point, exponent.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let at = |i: usize| bytes.get(i).copied().unwrap_or(b' ');
    let digits = |mut i: usize| {
        while at(i).is_ascii_digit() || at(i) == b'.' {
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
    let letter = |letter: char| match letter {
        letter if letter.is_ascii_alphabetic() => {
            format!("[{}{}]", letter.to_ascii_lowercase(), letter.to_ascii_uppercase())
        }
        letter => letter.to_string(),
    };
    let spellings = units.iter().flat_map(|unit| unit.spellings);
    let mut spellings: Vec<String> =
        spellings.map(|spelling| spelling.chars().map(letter).collect()).collect();
    spellings.sort();
    spellings.dedup();
    let units = spellings.join("|");
    format!(r"^\s*[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?\s*({units})\s*$")
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
