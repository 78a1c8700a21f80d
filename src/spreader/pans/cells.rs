/// What stands between the cells of a file: commas, semicolons or tabs, as a spreadsheet writes them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Separator(u8);

impl Separator {
    /// The character that a heading is most divided by, outside quotes; the comma where there is
    /// none.
    pub fn of(heading: &str) -> Self {
        let outside: String = heading.split('"').step_by(2).collect();
        let count = |separator: u8| outside.bytes().filter(|byte| *byte == separator).count();
        let best = [b'\t', b';', b','].into_iter().max_by_key(|&separator| count(separator));
        Self(best.unwrap_or(b','))
    }

    /// The cells of a line, without quotes, blanks around them, and empty ones at the end.
    pub fn cells(self, line: &str) -> Vec<String> {
        let mut cells: Vec<String> = if line.contains('"') {
            let mut reader = csv::ReaderBuilder::new()
                .delimiter(self.0)
                .has_headers(false)
                .flexible(true)
                .trim(csv::Trim::All)
                .from_reader(line.as_bytes());
            let record = reader.records().next().and_then(Result::ok).unwrap_or_default();
            record.iter().map(str::to_owned).collect()
        } else {
            // Many times as fast as a reader for each line.
            line.split(char::from(self.0)).map(|cell| cell.trim().to_owned()).collect()
        };
        while cells.last().is_some_and(String::is_empty) {
            cells.pop();
        }
        cells
    }

    /// A number; with a decimal comma where commas do not part the cells.
    pub fn number(self, text: &str) -> Option<f64> {
        let plain = if self.0 == b',' { text.to_owned() } else { text.replacen(',', ".", 1) };
        plain.parse::<f64>().ok().filter(|number| number.is_finite())
    }
}

/// The setting of a line `# key: value`, if it is one; a spreadsheet puts it in quotes and separators
/// behind it.
pub(super) fn setting(line: &str) -> Option<String> {
    let bare = line.trim_end_matches([',', ';', '\t', ' ']);
    let bare = match bare.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')) {
        Some(quoted) => quoted.replace("\"\"", "\""),
        None => bare.to_owned(),
    };
    bare.trim().strip_prefix('#').map(|setting| setting.trim().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_spreadsheets_write_them() {
        for line in ["-5,\"1.5\",2", "-5;1.5;2;", "\"-5\"\t1.5\t 2"] {
            assert_eq!(Separator::of(line).cells(line), ["-5", "1.5", "2"], "{line:?}");
        }
        assert_eq!(Separator::of("\"run 1, left\";run 2"), Separator(b';'));
        assert_eq!(Separator(b';').number("1,5"), Some(1.5));
        assert_eq!(Separator(b',').number("1,5"), None);
        assert_eq!(Separator(b';').number("inf"), None);
    }

    #[test]
    fn settings_in_quotes() {
        for line in ["# swath: 40 ft", "\"# swath: 40 ft\",,", "# swath: 40 ft;;"] {
            assert_eq!(setting(line).as_deref(), Some("swath: 40 ft"), "{line:?}");
        }
        assert_eq!(setting("\"distance (ft)\",\"catch (g)\""), None);
    }
}
