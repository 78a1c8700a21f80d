use crate::read::{ReadError, text};

/// An attribute table: the cells as text, exactly as written.
///
/// Read here and not by a crate: a row that is marked as deleted must keep its place, or every row
/// after it lands on the wrong shape.
pub(super) struct Dbf {
    /// The column names.
    pub columns: Vec<String>,
    /// Which columns hold numbers by their kind.
    pub numeric: Vec<bool>,
    /// The rows; `None` where a row is marked as deleted.
    pub records: Vec<Option<Vec<String>>>,
}

struct Field {
    name: String,
    kind: u8,
    length: usize,
}

/// Reads a dBASE III table (and the integer and double fields of its successors). `encoding` is
/// the text of the `.cpg` file.
pub(super) fn read(name: &str, bytes: &[u8], encoding: Option<&str>) -> Result<Dbf, ReadError> {
    let fault = |reason: &str| ReadError::NotFormat {
        name: name.to_owned(),
        format: "a dBASE table",
        reason: reason.to_owned(),
    };
    let short = || fault("it is cut off");
    let count = u32::from_le_bytes(array(bytes, 4).ok_or_else(short)?);
    let header = usize::from(u16::from_le_bytes(array(bytes, 8).ok_or_else(short)?));
    let width = usize::from(u16::from_le_bytes(array(bytes, 10).ok_or_else(short)?));
    let decode = |bytes: &[u8]| decode(bytes, encoding);
    let mut fields = Vec::new();
    let described = bytes.get(32..header).ok_or_else(|| fault("it does not begin as one"))?;
    for descriptor in described.chunks_exact(32).take_while(|d| d.first() != Some(&0x0d)) {
        let (Some(label), Some(&kind), Some(&length)) =
            (descriptor.get(..11), descriptor.get(11), descriptor.get(16))
        else {
            break;
        };
        let label = label.split(|&byte| byte == 0).next().unwrap_or_default();
        fields.push(Field { name: decode(label), kind, length: usize::from(length) });
    }
    if fields.is_empty() || width != 1 + fields.iter().map(|field| field.length).sum::<usize>() {
        return Err(fault("its fields do not add up to its rows"));
    }
    let mut records = Vec::new();
    let mut rest = bytes.get(header..).unwrap_or_default();
    for _ in 0..count {
        let (record, after) = rest.split_at_checked(width).ok_or_else(short)?;
        rest = after;
        let Some((mark, mut cells)) = record.split_first() else { return Err(short()) };
        let cell = |field: &Field| {
            let (cell, after) = cells.split_at_checked(field.length)?;
            cells = after;
            Some(show(cell, field.kind, decode))
        };
        let row = fields.iter().map_while(cell).collect();
        records.push((*mark != b'*').then_some(row));
    }
    let numeric = fields.iter().map(|field| b"NFIBO+".contains(&field.kind)).collect();
    Ok(Dbf { columns: fields.into_iter().map(|field| field.name).collect(), numeric, records })
}

/// The memory that the cells of a table come to, in bytes, about: of the rows that there is room for
/// each has every field that the header describes.
pub(super) fn memory(bytes: &[u8]) -> usize {
    let short = |at| array(bytes, at).map_or(0, |two| usize::from(u16::from_le_bytes(two)));
    let count = array(bytes, 4).map_or(0, |four| u32::from_le_bytes(four) as usize);
    let (header, width) = (short(8), short(10).max(1));
    let rows = count.min(bytes.len().saturating_sub(header) / width);
    rows.saturating_mul(width + header / 32 * size_of::<String>())
}

fn show(cell: &[u8], kind: u8, decode: impl Fn(&[u8]) -> String) -> String {
    match kind {
        b'I' | b'+' => {
            array(cell, 0).map_or_else(String::new, |bytes| i32::from_le_bytes(bytes).to_string())
        }
        b'B' | b'O' if cell.len() == 8 => {
            array(cell, 0).map_or_else(String::new, |bytes| f64::from_le_bytes(bytes).to_string())
        }
        _ => {
            let text = decode(cell);
            let text = text.trim_matches(|c: char| c == '\0' || c.is_whitespace());
            match (kind, text) {
                // Stars are how an overflowing number is written, and mean that there is none.
                (b'N' | b'F', text) if text.bytes().all(|byte| byte == b'*') => String::new(),
                (b'N' | b'F', text) if text.contains('.') && !text.contains(['e', 'E']) => {
                    text.trim_end_matches('0').trim_end_matches('.').to_owned()
                }
                (_, text) => text.to_owned(),
            }
        }
    }
}

/// Text in the encoding that the `.cpg` names; without one, UTF-8 where it is that, else Latin-1.
fn decode(bytes: &[u8], encoding: Option<&str>) -> String {
    let letters: String = encoding
        .unwrap_or_default()
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .collect::<String>()
        .to_ascii_lowercase();
    match letters.as_str() {
        "1252" | "cp1252" | "ansi1252" | "windows1252" | "latin1" | "iso88591" | "88591" => {
            text::latin1(bytes)
        }
        _ => std::str::from_utf8(bytes).map_or_else(|_| text::latin1(bytes), str::to_owned),
    }
}

fn array<const N: usize>(bytes: &[u8], at: usize) -> Option<[u8; N]> {
    bytes.get(at..)?.first_chunk::<N>().copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::shapefile::tests::dbf_bytes;

    #[test]
    fn cells_are_kept_as_written() {
        let bytes =
            dbf_bytes(&[("ID", b'C', 6), ("CEC", b'N', 8)], &[&["007", "12.500"], &["b", "****"]]);
        let table = read("s.dbf", &bytes, None).unwrap();
        assert_eq!(table.columns, ["ID", "CEC"]);
        assert_eq!(table.records[0].as_deref().unwrap(), ["007", "12.5"]);
        assert_eq!(table.records[1].as_deref().unwrap(), ["b", ""]);
    }

    #[test]
    fn a_deleted_row_keeps_its_place() {
        let mut bytes = dbf_bytes(&[("ID", b'C', 3)], &[&["a"], &["b"], &["c"]]);
        let second = bytes.len() - 1 - 2 * 4;
        bytes[second] = b'*';
        let table = read("s.dbf", &bytes, None).unwrap();
        assert_eq!(table.records[1], None);
        assert_eq!(table.records[2].as_deref().unwrap(), ["c"]);
    }

    #[test]
    fn encodings() {
        assert_eq!(decode(b"H\xf6he", None), "Höhe");
        assert_eq!(decode("Höhe".as_bytes(), None), "Höhe");
        assert_eq!(decode("Höhe".as_bytes(), Some("UTF-8")), "Höhe");
        assert_eq!(decode("ö".as_bytes(), Some("ISO-8859-1")), "Ã¶");
    }

    #[test]
    fn faults() {
        let said = |bytes: &[u8]| read("s.dbf", bytes, None).err().unwrap().to_string();
        assert_eq!(said(b"\x03"), "s.dbf: the content is not a dBASE table: it is cut off");
        let bytes = dbf_bytes(&[("ID", b'C', 3)], &[&["a"], &["b"]]);
        assert_eq!(
            said(&bytes[..bytes.len() - 4]),
            "s.dbf: the content is not a dBASE table: it is cut off"
        );
        let mut wide = bytes;
        wide[10] = 200;
        assert_eq!(
            said(&wide),
            "s.dbf: the content is not a dBASE table: its fields do not add up to its rows"
        );
    }
}
