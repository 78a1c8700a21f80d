use super::format::Format;
use super::table::{Row, Table};
use super::{ReadError, Source, text};

/// Text tables with a header: comma, semicolon or tab between the cells.
pub(super) const FORMAT: Format = Format {
    called: "a text table",
    extensions: &["csv", "txt", "tsv"],
    records: None,
    table: Some(table),
    zone_file: None,
};

fn table(source: &Source) -> Result<Table, ReadError> {
    let name = &source.name;
    let fault =
        |reason: String| ReadError::NotFormat { name: name.clone(), format: FORMAT.called, reason };
    let text = text::decode(&source.bytes);
    if text.contains('\0') {
        return Err(fault("it holds binary data".to_owned()));
    }
    let (hint, text) = separator_hint(&text);
    let delimiter = hint.unwrap_or_else(|| delimiter(text));
    let mut reader =
        csv::ReaderBuilder::new().delimiter(delimiter).flexible(true).from_reader(text.as_bytes());
    let reason = |e: csv::Error| fault(e.to_string());
    let columns: Vec<String> =
        reader.headers().map_err(reason)?.iter().map(str::to_owned).collect();
    let headings = columns.iter().rposition(|heading| !heading.trim().is_empty());
    let headings = headings.map_or(0, |last| last + 1);
    let mut lines = Lines { text, byte: 0, line: if hint.is_some() { 2 } else { 1 } };
    let (mut rows, mut lengths) = (Vec::new(), Vec::new());
    for record in reader.records() {
        let record = record.map_err(reason)?;
        let line = lines.of(record.position().map_or(0, csv::Position::byte));
        let mut cells: Vec<String> = record.iter().map(str::to_owned).collect();
        while cells.last().is_some_and(|cell| cell.trim().is_empty()) {
            cells.pop();
        }
        let place = format!("{name}, row {line}");
        if cells.len() > columns.len() {
            return Err(ReadError::Unexpected {
                place,
                found: format!("{} cells", cells.len()),
                expected: format!(
                    "{}, one for each column of the header{}",
                    columns.len(),
                    if headings < 2 { "; remove any lines above the header" } else { "" }
                ),
            });
        }
        if !cells.is_empty() {
            lengths.push(record.len());
            rows.push(Row { place, cells });
        }
    }
    // Where every row is as short, it is the header that has a cell too many, and all columns behind
    // it would be taken for their neighbours.
    if let Some(&cells) = lengths.first()
        && cells < headings
        && lengths.iter().all(|&other| other == cells)
    {
        return Err(ReadError::Unexpected {
            place: name.clone(),
            found: format!("{headings} cells in the header and {cells} in the rows"),
            expected: "as many in both; put a heading that has a comma in it in quotes".to_owned(),
        });
    }
    let decimal_comma = delimiter != b',';
    Ok(Table {
        name: name.clone(),
        columns,
        rows,
        points: None,
        decimal_comma,
        warnings: Vec::new(),
    })
}

/// The delimiter that a spreadsheet says in a line of its own, `sep=;`, and the text after that line.
fn separator_hint(text: &str) -> (Option<u8>, &str) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    match first.trim_end_matches('\r').trim_matches('"').to_lowercase().as_str() {
        "sep=," => (Some(b','), rest),
        "sep=;" => (Some(b';'), rest),
        "sep=\t" => (Some(b'\t'), rest),
        _ => (None, text),
    }
}

/// Counts lines up to a place that moves forward. The reader's own count is taken before the blank
/// lines, and before the line feed of a CR LF, that lead to a record.
struct Lines<'a> {
    text: &'a str,
    byte: usize,
    line: usize,
}

impl Lines<'_> {
    /// The number of the line, from 1, that the record found at a byte begins on.
    fn of(&mut self, byte: u64) -> usize {
        let bytes = self.text.as_bytes();
        let mut end = usize::try_from(byte).unwrap_or(usize::MAX).min(bytes.len());
        while matches!(bytes.get(end), Some(b'\r' | b'\n')) {
            end += 1;
        }
        let passed = bytes.get(self.byte..end).unwrap_or_default();
        self.line += passed.split(|&byte| byte == b'\n').skip(1).count();
        self.byte = end;
        self.line
    }
}

/// The character that the header is most divided by, outside quotes: tab, semicolon or comma.
fn delimiter(text: &str) -> u8 {
    let header = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
    let outside: String = header.split('"').step_by(2).collect();
    let count = |delimiter: u8| outside.bytes().filter(|byte| *byte == delimiter).count();
    let best = [b',', b';', b'\t'].into_iter().max_by_key(|&delimiter| count(delimiter));
    best.filter(|&delimiter| count(delimiter) > 0).unwrap_or(b',')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(bytes: &[u8]) -> Table {
        table(&Source::of("s.csv", bytes)).unwrap()
    }

    #[test]
    fn delimiters_and_encodings() {
        for text in [
            "id,CEC\nA,1\n",
            "id;CEC\r\nA;1\r\n",
            "id\tCEC\nA\t1",
            "\u{feff}\"id\",\"CEC\"\n\"A\",1\n",
        ] {
            let table = read(text.as_bytes());
            assert_eq!(table.columns, ["id", "CEC"], "{text:?}");
            assert_eq!(table.rows[0].cells, ["A", "1"], "{text:?}");
            assert_eq!(table.rows[0].place, "s.csv, row 2");
        }
        assert_eq!(read(b"H\xf6he\n1\n").columns, ["Höhe"]);
        let table = read(b"\"CEC (a, b, c)\";id\n1,5;A\n");
        assert_eq!(table.columns, ["CEC (a, b, c)", "id"]);
        assert!(table.decimal_comma);
    }

    #[test]
    fn rows_keep_the_number_of_their_line() {
        for text in
            ["id,CEC\nA,1\n\n,,\n\"B\nb\",2\nC\n", "id,CEC\r\nA,1\r\n\r\n\r\n\"B\r\nb\",2\r\nC"]
        {
            let table = read(text.as_bytes());
            let places: Vec<&str> = table.rows.iter().map(|row| row.place.as_str()).collect();
            assert_eq!(places, ["s.csv, row 2", "s.csv, row 5", "s.csv, row 7"], "{text:?}");
            assert_eq!(table.rows[2].cell(1), "");
        }
    }

    #[test]
    fn a_header_with_a_cell_too_many() {
        let said = |text: &str| table(&Source::of("s.csv", text)).map_err(|e| e.to_string());
        assert_eq!(
            said("id,pH, 1:1,CEC,P\nA,6,12,30\n\n,,\nB,7,13,31\n").unwrap_err(),
            "s.csv: found 5 cells in the header and 4 in the rows, expected as many in both; put a heading that has a comma in it in quotes"
        );
        // Trailing commas of a spreadsheet, and single rows that end early.
        assert!(said("id,CEC,,\nA,12\nB,13\n").is_ok());
        assert!(said("id,CEC,notes\nA,12\nB,13,wet\n").is_ok());
        assert!(said("id,\"pH, 1:1\",CEC\nA,6,12\n").is_ok());
    }

    #[test]
    fn lines_above_the_header() {
        let table = read(b"sep=;\r\nid;CEC\r\nA;1,5\r\n");
        assert_eq!((table.columns.len(), table.rows[0].place.as_str()), (2, "s.csv, row 3"));
        let said = super::table(&Source::of("s.csv", "Soil test\nid,CEC\nA,1\n")).unwrap_err();
        assert_eq!(
            said.to_string(),
            "s.csv, row 2: found 2 cells, expected 1, one for each column of the header; remove any lines above the header"
        );
    }

    #[test]
    fn too_many_cells() {
        let said = table(&Source::of("s.csv", "id,CEC\nA,12,5\n")).unwrap_err().to_string();
        assert_eq!(
            said,
            "s.csv, row 2: found 3 cells, expected 2, one for each column of the header"
        );
    }
}
