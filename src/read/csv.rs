use super::format::{Format, Tabular};
use super::grid::Grid;
use super::table::Row;
use super::{ReadError, Source, layout, text};

/// Text tables with a header: comma, semicolon or tab between the cells.
pub(super) const FORMAT: Format = Format {
    called: "a text table",
    extensions: &["csv", "txt", "tsv"],
    records: None,
    table: Some(Tabular::Grids(grids)),
    zone_file: None,
};

fn grids(source: &Source) -> Result<Vec<Grid>, ReadError> {
    let name = &source.name;
    let fault =
        |reason: String| ReadError::NotFormat { name: name.clone(), format: FORMAT.called, reason };
    let text = text::decode(&source.bytes);
    if text.contains('\0') {
        return Err(fault("it holds binary data".to_owned()));
    }
    let (hint, text) = separator_hint(&text);
    let delimiter = hint.unwrap_or_else(|| delimiter(name, text));
    let mut lines = Lines { text, byte: 0, line: if hint.is_some() { 2 } else { 1 } };
    let mut rows = Vec::new();
    for record in records(text, delimiter) {
        let record = record.map_err(|error| fault(error.to_string()))?;
        let line = lines.of(record.position().map_or(0, csv::Position::byte));
        let row = row(format!("{name}, row {line}"), &record);
        if row.filled().next().is_some() {
            rows.push(row);
        }
    }
    let decimal_comma = delimiter != b',';
    Ok(vec![Grid {
        name: name.clone(),
        sheet: None,
        hidden: false,
        rows,
        decimal_comma,
        warnings: Vec::new(),
    }])
}

fn records(text: &str, delimiter: u8) -> csv::StringRecordsIntoIter<&[u8]> {
    csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .has_headers(false)
        .from_reader(text.as_bytes())
        .into_records()
}

fn row(place: String, record: &csv::StringRecord) -> Row {
    Row { place, cells: record.iter().map(str::to_owned).collect() }
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

/// Tab, semicolon or comma: that which makes a header of one of the first lines or, where several
/// do or none does, that which divides the first line most.
fn delimiter(name: &str, text: &str) -> u8 {
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
    let outside: String = first.split('"').step_by(2).collect();
    let count = |delimiter: u8| outside.bytes().filter(|byte| *byte == delimiter).count();
    let usual = |delimiter: u8| {
        // One cell a row makes no header.
        if !text.as_bytes().contains(&delimiter) {
            return 0;
        }
        let rows = records(text, delimiter).take(60).map_while(Result::ok);
        rows.map(|record| layout::score(&row(name.to_owned(), &record), &[])).max().unwrap_or(0)
    };
    // One usual header alone may be a title.
    let sure = |delimiter: u8| Some(usual(delimiter)).filter(|score| *score > 1);
    let best = [b',', b';', b'\t'].into_iter().max_by_key(|&mark| (sure(mark), count(mark)));
    best.filter(|&mark| sure(mark).is_some() || count(mark) > 0).unwrap_or(b',')
}

#[cfg(test)]
mod tests {
    use super::super::formats;
    use super::super::sheets::TableSearch;
    use super::super::table::Table;
    use super::*;

    fn table(name: &str, bytes: impl Into<Vec<u8>>) -> Result<Table, ReadError> {
        formats::table(&Source::of(name, bytes), None, &TableSearch::default())
    }

    fn read(bytes: &[u8]) -> Table {
        table("s.csv", bytes).unwrap()
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
        let said = |text: &str| table("s.csv", text).map_err(|e| e.to_string());
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
        let table = read(b"Soil test\n\nid,CEC\nA,1\n");
        assert_eq!((table.columns.len(), table.rows[0].place.as_str()), (2, "s.csv, row 4"));
    }

    #[test]
    fn too_many_cells() {
        let said = table("s.csv", "id,CEC\nA,12,5\n").unwrap_err().to_string();
        assert_eq!(
            said,
            "s.csv, row 2: found 3 cells, expected 2, one for each column of the header"
        );
    }
}
