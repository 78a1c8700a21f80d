use super::ReadError;
use super::table::{Row, Table};

/// The number in a cell; `None` where the cell is empty.
///
/// # Errors
/// When the cell holds something else.
pub(super) fn number(table: &Table, row: &Row, column: usize) -> Result<Option<f64>, ReadError> {
    let value = row.cell(column);
    if value.is_empty() {
        return Ok(None);
    }
    parse(value, table.decimal_comma).map(Some).ok_or_else(|| ReadError::BadCell {
        place: row.place.clone(),
        column: table.header(column).to_owned(),
        value: value.to_owned(),
        expected: "a number",
    })
}

/// A plain number: digits with a decimal point, or a decimal comma where that is used.
pub(super) fn parse(text: &str, decimal_comma: bool) -> Option<f64> {
    let plain = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E');
    let text = if decimal_comma && text.matches(',').count() == 1 && !text.contains('.') {
        text.replace(',', ".")
    } else {
        text.to_owned()
    };
    text.parse().ok().filter(|number: &f64| text.chars().all(plain) && number.is_finite())
}

#[cfg(test)]
mod tests {
    use super::parse;

    #[test]
    fn spellings() {
        assert_eq!(parse("12.5", false), Some(12.5));
        assert_eq!(parse("-8.52e1", false), Some(-85.2));
        assert_eq!(parse("12,5", true), Some(12.5));
        for text in ["12,5", "nan", "inf", "1e999", "<5", "n/a", "12.5 meq", "0x10"] {
            assert_eq!(parse(text, false), None, "{text}");
        }
        assert_eq!(parse("1,234.5", true), None);
    }
}
