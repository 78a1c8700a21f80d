use std::io::{Cursor, Read as _, Write as _};

use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

use crate::field::RawSample;
use crate::read::{
    CationSettings, LaboratorySettings, Read, ReadError, SampleSettings, Source, samples,
};
use crate::report::warnings::said as warnings_said;

/// Written by openpyxl, odfpy and xlwt: `fixtures/laboratory/make.py` has the values.
pub(in crate::read) const BOOKS: [(&str, &[u8]); 3] = [
    ("results.xlsx", include_bytes!("../../../fixtures/laboratory/results.xlsx")),
    ("results.ods", include_bytes!("../../../fixtures/laboratory/results.ods")),
    ("results.xls", include_bytes!("../../../fixtures/laboratory/results.xls")),
];

fn read(source: &Source, settings: &LaboratorySettings) -> Result<Read<Vec<RawSample>>, ReadError> {
    let points = Source::of("p.csv", "id,lon,lat\n1,-85,40\n2,-85,40.1\n3,-85,40.2\n");
    let (settings, cations) = (Some((source, settings)), CationSettings::default());
    samples(&points, settings, &SampleSettings::default(), &cations)
}

fn said(name: &str, bytes: Vec<u8>, sheet: Option<&str>) -> String {
    let sheet = sheet.map(str::to_owned);
    let settings = LaboratorySettings { sheet, ..LaboratorySettings::default() };
    read(&Source::of(name, bytes), &settings).unwrap_err().to_string()
}

/// An archive of the same entries, each content as `change` makes it.
pub(in crate::read) fn changed(
    bytes: &[u8],
    mut change: impl FnMut(&str, Vec<u8>) -> Vec<u8>,
) -> Vec<u8> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for number in 0..archive.len() {
        let mut entry = archive.by_index(number).unwrap();
        let name = entry.name().unwrap().into_owned();
        let mut content = Vec::new();
        entry.read_to_end(&mut content).unwrap();
        writer.start_file(name.clone(), SimpleFileOptions::default()).unwrap();
        writer.write_all(&change(&name, content)).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// The archive with a text in one entry in place of another.
fn with(bytes: &[u8], entry: &str, from: &str, to: &str) -> Vec<u8> {
    let mut found = false;
    let changed = changed(bytes, |name, content| {
        if name != entry {
            return content;
        }
        let text = String::from_utf8(content).unwrap();
        found |= text.contains(from);
        text.replacen(from, to, 1).into_bytes()
    });
    assert!(found, "{from} is not in {entry}");
    changed
}

#[test]
fn titles_units_depths_limits_and_averages() {
    for (name, bytes) in BOOKS {
        let source = Source::of(name, bytes);
        let Read { value, warnings, .. } = read(&source, &LaboratorySettings::default()).unwrap();
        let found: Vec<_> = value.iter().map(|s| (s.id.as_str(), s.cec, s.place.clone())).collect();
        let place = |row| format!("{name}, sheet \"Results\", row {row}");
        let expected =
            [("1", Some(8.2), place(6)), ("2", Some(12.4), place(8)), ("3", Some(2.5), place(9))];
        assert_eq!(found, expected);
        let sheet = format!("{name}, sheet \"Results\"");
        assert_eq!(
            warnings_said(&warnings),
            [
                format!("{sheet}: found rows that are no samples, \"Average\"; left out"),
                format!(
                    "{sheet}: found several depths; those of 0-6 are used, 1 row of 6-12 left out (depth = \"…\" takes another)"
                ),
                format!(
                    "{sheet}, column \"CEC (meq/100g)\": found \"<5\" (row 9), below detection; 50 % of the limit is used (below_detection = \"leave out\" leaves such samples out)"
                ),
            ]
        );
    }
}

#[test]
fn sheets_by_name() {
    for (name, bytes) in BOOKS {
        let sheet = Some(" earlier".to_owned());
        let settings = LaboratorySettings { sheet, ..LaboratorySettings::default() };
        let read = read(&Source::of(name, bytes), &settings).unwrap();
        assert_eq!(read.value.iter().map(|s| s.cec).collect::<Vec<_>>(), [Some(7.0); 3], "{name}");
        assert_eq!(
            said(name, bytes.to_vec(), Some("Result")),
            format!(
                "{name}: found no sheet \"Result\", expected one of its sheets, \"Notes\", \"Results\", \"Earlier\""
            )
        );
    }
    assert_eq!(
        said("lab.csv", b"id,CEC\n1,9\n".to_vec(), Some("Results")),
        "lab.csv: found no sheets, and the setting sheet = \"Results\", expected a spreadsheet; remove the setting"
    );
    // The hidden sheet shown again.
    let shown = with(BOOKS[0].1, "xl/workbook.xml", "state=\"hidden\"", "");
    assert_eq!(
        said("results.xlsx", shown, None),
        "results.xlsx: found 2 sheets that can be meant, \"Results\", \"Earlier\", expected one; say which one to use (sheet = \"Results\")"
    );
}

#[test]
fn cells_are_told_with_their_sheet() {
    let bad = with(
        BOOKS[1].1,
        "content.xml",
        "office:value=\"8.2\"><text:p>8.2",
        "office:value=\"-8.2\"><text:p>-8.2",
    );
    let read = read(&Source::of("r.ods", bad), &LaboratorySettings::default()).unwrap();
    assert_eq!(
        (read.value[0].cec, read.value[0].place.as_str()),
        (Some(-8.2), "r.ods, sheet \"Results\", row 6")
    );
    let text =
        with(BOOKS[0].1, "xl/worksheets/sheet2.xml", "<v>8.199999999999999</v>", "<v>8.2 H</v>");
    let text = with(&text, "xl/worksheets/sheet2.xml", "r=\"F6\" t=\"n\"", "r=\"F6\" t=\"str\"");
    assert_eq!(
        said("r.xlsx", text, None),
        "r.xlsx, sheet \"Results\", row 6, column \"CEC (meq/100g)\": found \"8.2 H\", expected a number"
    );
}

#[test]
fn what_is_none() {
    assert!(
        said("r.xlsx", b"id,CEC\n".to_vec(), None)
            .starts_with("r.xlsx: the content is not a spreadsheet: ")
    );
    assert!(
        said("r.xls", b"id,CEC\n".to_vec(), None)
            .starts_with("r.xls: the content is not a spreadsheet: ")
    );
    let zip = changed(BOOKS[1].1, |_, _| Vec::new());
    assert!(said("r.ods", zip, None).starts_with("r.ods: the content is not a spreadsheet: "));
}

#[test]
fn bombs() {
    let large = changed(BOOKS[0].1, |name, content| {
        if name.ends_with("sheet1.xml") { vec![b' '; 64 << 20] } else { content }
    });
    let bomb = said("r.xlsx", large, None);
    assert!(bomb.contains("it unpacks to more than 32 MB"), "{bomb}");
    let far = with(BOOKS[0].1, "xl/worksheets/sheet2.xml", "r=\"F6\"", "r=\"XFD6\"");
    assert_eq!(
        said("r.xlsx", far, None),
        "r.xlsx: the content is not a spreadsheet: sheet \"Results\" has \"8.2\" in row 6, column 16384, expected at most 1024 columns; delete it"
    );
    let repeated = with(
        BOOKS[1].1,
        "content.xml",
        "<table:table-cell office:value-type=\"float\" office:value=\"8.2\"",
        "<table:table-cell table:number-columns-repeated=\"16000000\" office:value-type=\"float\" office:value=\"8.2\"",
    );
    let bomb = said("r.ods", repeated, None);
    assert!(bomb.contains("more than a laboratory's; delete what is empty"), "{bomb}");
    // A cell of the last row that a book of this kind has.
    let mut far = BOOKS[2].1.to_vec();
    let number = [0x7e, 0x02, 10, 0];
    let at = far.windows(4).position(|window| window == number).unwrap();
    far[at + 4..at + 8].copy_from_slice(&[0xff; 4]);
    let bomb = said("r.xls", far, None);
    assert!(bomb.contains("reach farther than a laboratory's"), "{bomb}");
    let mut far = BOOKS[2].1.to_vec();
    let at = far.windows(4).position(|window| window == [0x00, 0x02, 14, 0]).unwrap();
    far[at + 8..at + 12].copy_from_slice(&[0xff; 4]);
    let bomb = said("r.xls", far, None);
    assert!(bomb.contains("reach farther than a laboratory's"), "{bomb}");
}

/// A string of the book that many cells share is counted as often as it is used.
#[test]
fn shared_strings_are_counted() {
    let text = "x".repeat(30_000);
    let cells: Vec<String> = (1..5000)
        .map(|row| format!("<row r=\"{row}\"><c r=\"A{row}\" t=\"s\"><v>0</v></c></row>"))
        .collect();
    let cells = cells.concat();
    let bomb = changed(BOOKS[0].1, |name, content| {
        if name.ends_with("sheet1.xml") {
            format!("<worksheet xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><sheetData>{cells}</sheetData></worksheet>").into_bytes()
        } else {
            content
        }
    });
    let mut book = ZipWriter::new_append(Cursor::new(bomb)).unwrap();
    book.start_file("xl/sharedStrings.xml", SimpleFileOptions::default()).unwrap();
    write!(book, "<sst xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><si><t>{text}</t></si></sst>").unwrap();
    let bomb = said("r.xlsx", book.finish().unwrap().into_inner(), None);
    assert!(bomb.contains("its sheets hold more than a laboratory's do"), "{bomb}");
}

/// Calamine slices by what a book says of itself: where a sheet begins (`BoundSheet8`, [MS-XLS]
/// 2.4.28), and which columns several numbers are in (`MulRk`, 2.4.175).
#[test]
fn a_damaged_book_is_told_of() {
    let (name, book) = BOOKS[2];
    let at = book.windows(4).position(|window| window == [0x85, 0x00, 0x0f, 0x00]).unwrap();
    let mut beyond = book.to_vec();
    beyond[at + 4..at + 8].copy_from_slice(&0x00ff_ffff_u32.to_le_bytes());
    let expected =
        "results.xls: the content is not a spreadsheet: it is damaged; save the sheet as CSV";
    assert_eq!(said(name, beyond, None), expected);
    // Within a record, what is read as records is none that was measured.
    let mut within = book.to_vec();
    within[at + 4] += 4;
    assert_eq!(said(name, within, None), expected);
}

/// A first column that cannot be one counts as the leftmost to calamine: three million rows of 257 columns.
#[test]
fn a_book_that_reaches_far_by_its_dimensions_is_told_of() {
    let (name, book) = BOOKS[2];
    let at = book.windows(4).position(|window| window == [0x00, 0x02, 0x0e, 0x00]).unwrap();
    let mut far = book.to_vec();
    far[at + 4..at + 8].copy_from_slice(&0_u32.to_le_bytes());
    far[at + 8..at + 12].copy_from_slice(&3_000_000_u32.to_le_bytes());
    far[at + 12..at + 16].copy_from_slice(&[0x00, 0x01, 0x01, 0x01]);
    assert!(said(name, far, None).contains("its sheets reach farther than a laboratory's"));
}
