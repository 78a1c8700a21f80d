//! Degrees as people write them: `-86.40527`, `40 41.5 N`, `40°41'30"N`.

use super::number::parse;
use super::table::{Row, Table};
use super::{ReadError, number};

/// Which of the two a number of degrees is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Axis {
    Longitude,
    Latitude,
}

/// The degrees in a cell; `None` where it is empty.
///
/// # Errors
/// When the cell holds something else.
pub(super) fn degrees(
    table: &Table,
    row: &Row,
    column: usize,
    axis: Axis,
) -> Result<Option<f64>, ReadError> {
    if let Ok(number) = number::number(table, row, column) {
        return Ok(number);
    }
    let value = row.cell(column);
    read(value, table.decimal_comma, axis).map(Some).ok_or_else(|| ReadError::BadCell {
        place: row.place.clone(),
        column: table.header(column).to_owned(),
        value: value.to_owned(),
        expected: match axis {
            Axis::Longitude => "degrees, such as -86.40527, 86 24.316 W or 86°24'19\"W",
            Axis::Latitude => "degrees, such as 40.69443, 40 41.666 N or 40°41'40\"N",
        },
    })
}

/// Degrees, minutes and seconds, the last of them with decimals; the side of the world as a letter
/// before or behind, or as a sign.
fn read(text: &str, decimal_comma: bool, axis: Axis) -> Option<f64> {
    let sides = match axis {
        Axis::Longitude => ['E', 'W'],
        Axis::Latitude => ['N', 'S'],
    };
    let upper = text.trim().to_uppercase();
    let side = |letter: Option<char>| letter.filter(|letter| sides.contains(letter));
    let (side, rest) = match (side(upper.chars().next()), side(upper.chars().next_back())) {
        (Some(_), Some(_)) => return None,
        (Some(side), None) => (Some(side), upper.get(1..)?),
        (None, Some(side)) => (Some(side), upper.get(..upper.len() - 1)?),
        (None, None) => (None, upper.as_str()),
    };
    let (minus, rest) = match rest.trim().strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest),
        None => (false, rest.trim()),
    };
    if minus && side.is_some() {
        return None;
    }
    let mark = |c: char| c.is_whitespace() || "°º:'\u{2032}\u{2019}\"\u{2033}\u{201d}".contains(c);
    let parts: Vec<&str> = rest.split(mark).filter(|part| !part.is_empty()).collect();
    let plain = |part: &&str| part.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b','));
    let (last, whole) = parts.split_last()?;
    if parts.len() > 3
        || !parts.iter().all(plain)
        || whole.iter().any(|part| part.contains(['.', ',']))
    {
        return None;
    }
    // A bare number without a side is read as a number, or not at all.
    if whole.is_empty() && side.is_none() && !rest.ends_with(['°', 'º']) {
        return None;
    }
    let mut degrees = 0.0;
    for (part, unit) in whole.iter().chain([last]).zip([1.0, 60.0, 3600.0]) {
        let number = parse(part, decimal_comma)?;
        if unit > 1.0 && number >= 60.0 {
            return None;
        }
        degrees += number / unit;
    }
    Some(if minus || matches!(side, Some('W' | 'S')) { -degrees } else { degrees })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn degrees_minutes_and_seconds() {
        for (text, axis, expected) in [
            ("40 41.5 N", Axis::Latitude, Some(40.0 + 41.5 / 60.0)),
            ("40°41'30\"N", Axis::Latitude, Some(40.0 + 41.5 / 60.0)),
            ("N 40° 41.5'", Axis::Latitude, Some(40.0 + 41.5 / 60.0)),
            ("40:41:30.0 s", Axis::Latitude, Some(-40.0 - 41.5 / 60.0)),
            ("86 24 18 W", Axis::Longitude, Some(-86.405)),
            ("-86 24.3", Axis::Longitude, Some(-86.405)),
            ("86.405° W", Axis::Longitude, Some(-86.405)),
            ("86.405W", Axis::Longitude, Some(-86.405)),
            ("86°24\u{2032}18\u{2033} E", Axis::Longitude, Some(86.405)),
            ("86 24.3 N", Axis::Longitude, None),
            ("-86 24.3 W", Axis::Longitude, None),
            ("86 61 W", Axis::Longitude, None),
            ("86.5 24.3 W", Axis::Longitude, None),
            ("86 24 18 5 W", Axis::Longitude, None),
            ("west", Axis::Longitude, None),
            ("W", Axis::Longitude, None),
            ("", Axis::Longitude, None),
        ] {
            let found = read(text, false, axis);
            let same = match (found, expected) {
                (Some(found), Some(expected)) => (found - expected).abs() < 1e-12,
                (found, expected) => found == expected,
            };
            assert!(same, "{text}: {found:?}");
        }
        let found = read("86 24,3 W", true, Axis::Longitude).unwrap();
        assert!((found + 86.405).abs() < 1e-12);
    }
}
