use std::fmt;

/// A number of things, in words.
#[must_use]
#[expect(clippy::needless_pass_by_value, reason = "a number is copied")]
pub fn count(number: impl fmt::Display + PartialEq + From<u8>, one: &str, several: &str) -> String {
    format!("{number} {}", if number == 1.into() { one } else { several })
}
