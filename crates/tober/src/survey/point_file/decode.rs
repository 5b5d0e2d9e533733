//! Bytes to text.

/// How a file's bytes were taken for text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8, with or without a byte order mark.
    Utf8,
    /// UTF-16, told by its byte order mark.
    Utf16,
    /// Latin-1, when it is neither: numbers are the same in it, and names are readable in western
    /// Europe's languages.
    Latin1,
}

/// Text from bytes; never fails. The byte order mark is taken off.
///
/// ```
/// use tober::survey::{Encoding, decode};
/// assert_eq!(decode(b"\xef\xbb\xbf1;2"), ("1;2".to_owned(), Encoding::Utf8));
/// assert_eq!(decode(b"H\xf6he"), ("Höhe".to_owned(), Encoding::Latin1));
/// assert_eq!(decode(b"\xff\xfe1\0;\0"), ("1;".to_owned(), Encoding::Utf16));
/// ```
pub fn decode(bytes: &[u8]) -> (String, Encoding) {
    let pairs = |bytes: &[u8], join: fn([u8; 2]) -> u16| -> String {
        let units = bytes.as_chunks::<2>().0.iter().map(|pair| join(*pair));
        char::decode_utf16(units)
            .map(|unit| unit.unwrap_or(char::REPLACEMENT_CHARACTER))
            .collect()
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => (pairs(rest, u16::from_le_bytes), Encoding::Utf16),
        [0xfe, 0xff, rest @ ..] => (pairs(rest, u16::from_be_bytes), Encoding::Utf16),
        _ => match std::str::from_utf8(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)) {
            Ok(text) => (text.to_owned(), Encoding::Utf8),
            Err(_) => (
                bytes.iter().map(|byte| char::from(*byte)).collect(),
                Encoding::Latin1,
            ),
        },
    }
}
