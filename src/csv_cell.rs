//! Text as the cell of a CSV file that a spreadsheet will open.

use std::borrow::Cow;

/// What a spreadsheet begins a formula with, and what it takes off before it looks (OWASP, *CSV
/// injection*); and the mark that we put before these.
const ALIVE: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\''];

/// Text that no spreadsheet takes for a formula: an apostrophe before what would begin one. Numbers are
/// none, and a sign alone is none.
pub fn no_formula(text: &str) -> Cow<'_, str> {
    if text.starts_with(ALIVE) && text.len() > 1 && text.parse::<f64>().is_err() {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// The text that an inert cell stands for.
pub fn text_meant(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|text| text.starts_with(ALIVE)).unwrap_or(cell)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_text_and_text_comes_back() {
        for alive in ["=1+1", "+A1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "'=1"] {
            let cell = no_formula(alive);
            assert_eq!(cell, format!("'{alive}"));
            assert_eq!(text_meant(&cell), alive);
        }
        for plain in ["", "-", "a=1", "-2.5", "+1e3", "North 40", "o'Hara"] {
            assert_eq!(no_formula(plain), plain);
            assert_eq!(text_meant(plain), plain);
        }
    }
}
