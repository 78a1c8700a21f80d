use std::io::{Cursor, Read};

use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;
use zip::ZipArchive;

/// The most cells of a sheet that are laid out, 32 bytes each.
const MOST_CELLS: u64 = 1_000_000;

/// Refuses a book whose repeated rows and cells come to more than can be laid out. Empty ones behind
/// the last filled one, with which office programs fill up a sheet, do not count.
pub(super) fn measure(bytes: &[u8]) -> Result<(), String> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| error.to_string())?;
    let mut content = String::new();
    archive
        .by_name("content.xml")
        .and_then(|mut entry| Ok(entry.read_to_string(&mut content)?))
        .map_err(|error| format!("content.xml: {error}"))?;
    let mut reader = Reader::from_str(&content);
    let mut sheet = Sheet::default();
    loop {
        match reader.read_event().map_err(|error| error.to_string())? {
            Event::Start(element) => sheet.begins(&element)?,
            Event::Empty(element) => {
                sheet.begins(&element)?;
            }
            Event::Eof => return Ok(()),
            _ => {}
        }
        if sheet.rows.saturating_mul(sheet.width) > MOST_CELLS {
            return Err(format!(
                "a sheet has {} rows and {} columns, more than a laboratory's; delete what is empty",
                sheet.rows, sheet.width
            ));
        }
    }
}

/// The extent of a sheet up to its last filled cell.
#[derive(Default)]
struct Sheet {
    rows: u64,
    width: u64,
    /// The rows since the last filled one, and the cells of the row since the last filled one.
    empty_rows: u64,
    row: u64,
    cells: u64,
}

impl Sheet {
    fn begins(&mut self, element: &BytesStart<'_>) -> Result<(), String> {
        match element.name().0 {
            "table:table" => *self = Sheet::default(),
            "table:table-row" => {
                self.empty_rows = self.empty_rows.saturating_add(self.row);
                self.row = repeated(element, "table:number-rows-repeated")?;
                self.cells = 0;
            }
            "table:table-cell" | "table:covered-table-cell" => {
                self.cells =
                    self.cells.saturating_add(repeated(element, "table:number-columns-repeated")?);
                if attribute(element, "office:value-type")?.is_some() {
                    self.rows = self.rows.saturating_add(self.empty_rows).saturating_add(self.row);
                    (self.empty_rows, self.row) = (0, 0);
                    self.width = self.width.max(self.cells);
                }
            }
            _ => {}
        }
        Ok(())
    }
}

fn repeated(element: &BytesStart<'_>, name: &str) -> Result<u64, String> {
    Ok(attribute(element, name)?.map_or(1, |text| text.trim().parse().unwrap_or(u64::MAX)))
}

fn attribute(element: &BytesStart<'_>, name: &str) -> Result<Option<String>, String> {
    for attribute in element.attributes() {
        let attribute = attribute.map_err(|error| error.to_string())?;
        if attribute.key.0 == name {
            let value = attribute.normalized_value(XmlVersion::Implicit1_0);
            return value.map(|value| Some(value.into_owned())).map_err(|error| error.to_string());
        }
    }
    Ok(None)
}
