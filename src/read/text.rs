use std::borrow::Cow;

/// The text of a file: a byte order mark decides, then UTF-8, and what is not UTF-8 is Latin-1.
pub(super) fn decode(bytes: &[u8]) -> Cow<'_, str> {
    if let Some(rest) = bytes.strip_prefix(&[0xff, 0xfe]) {
        return wide(rest, u16::from_le_bytes);
    }
    if let Some(rest) = bytes.strip_prefix(&[0xfe, 0xff]) {
        return wide(rest, u16::from_be_bytes);
    }
    let bytes = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes);
    std::str::from_utf8(bytes).map_or_else(|_| Cow::Owned(latin1(bytes)), Cow::Borrowed)
}

/// Every byte as the character of the same number.
pub(super) fn latin1(bytes: &[u8]) -> String {
    bytes.iter().map(|&byte| char::from(byte)).collect()
}

fn wide(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Cow<'_, str> {
    let units: Vec<u16> = bytes.as_chunks::<2>().0.iter().map(|&pair| unit(pair)).collect();
    Cow::Owned(String::from_utf16_lossy(&units))
}

#[cfg(test)]
mod tests {
    use super::decode;

    #[test]
    fn encodings() {
        assert_eq!(decode(b"\xef\xbb\xbfid"), "id");
        assert_eq!(decode("Höhe".as_bytes()), "Höhe");
        assert_eq!(decode(b"H\xf6he"), "Höhe");
        assert_eq!(decode(b"\xff\xfei\0d\0"), "id");
        assert_eq!(decode(b"\xfe\xff\0i\0d"), "id");
    }
}
