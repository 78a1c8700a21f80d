use super::format::Format;
use super::layer::Layer;
use super::table::{Row, Table};
use super::{ReadError, Source, text};

/// Text tables with a header: comma, semicolon or tab between the cells.
pub(super) const FORMAT: Format = Format {
    called: "a text table",
    extensions: &["csv", "txt", "tsv"],
    outlines: None,
    features: None,
    table: Some(table),
    zone_file: None,
    layer: Some(layer),
};

/// A table whose places are in its columns.
fn layer(source: &Source) -> Result<Layer, ReadError> {
    Ok(Layer { table: table(source)?, shapes: None })
}

fn table(source: &Source) -> Result<Table, ReadError> {
    let name = &source.name;
    let fault =
        |reason: String| ReadError::NotFormat { name: name.clone(), format: FORMAT.called, reason };
    let text = text::decode(&source.bytes);
    if text.contains('\0') {
        return Err(fault("it holds binary data".to_owned()));
    }
    let delimiter = delimiter(&text);
    let mut reader =
        csv::ReaderBuilder::new().delimiter(delimiter).flexible(true).from_reader(text.as_bytes());
    let reason = |e: csv::Error| fault(e.to_string());
    let columns: Vec<String> =
        reader.headers().map_err(reason)?.iter().map(str::to_owned).collect();
    let mut lines = Lines { text: &text, byte: 0, line: 1 };
    let mut rows = Vec::new();
    // The most cells that a row has, empty ones too.
    let mut widest = 0;
    for record in reader.records() {
        let record = record.map_err(reason)?;
        widest = widest.max(record.len());
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
                expected: format!("{}, one for each column of the header", columns.len()),
            });
        }
        if !cells.is_empty() {
            rows.push(Row { place, cells });
        }
    }
    let headings = columns.iter().rposition(|name| !name.trim().is_empty()).map_or(0, |i| i + 1);
    if !rows.is_empty() && widest < headings {
        // Which heading is one too many cannot be known: columns would be taken for others.
        return Err(ReadError::Unexpected {
            place: name.clone(),
            found: format!("a header of {headings} cells over rows of {widest} at the most"),
            expected: "as many in both: put a heading that has the separator in it in quotes"
                .to_owned(),
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

    /// As a comma in a heading has it. Columns at the end that are empty are none, and one row may
    /// be short.
    #[test]
    fn a_heading_too_many() {
        let said = table(&Source::of("s.csv", "id,pH, 1:1,CEC\nA,6.3,12\nB,6.4,13\n"));
        assert_eq!(
            said.unwrap_err().to_string(),
            "s.csv: found a header of 4 cells over rows of 3 at the most, expected as many in both: \
             put a heading that has the separator in it in quotes"
        );
        for text in ["id,CEC,,\nA,1\n", "id,CEC,note\nA,1,\nB,2\n", "id,CEC\n"] {
            assert!(table(&Source::of("s.csv", text)).is_ok(), "{text:?}");
        }
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
