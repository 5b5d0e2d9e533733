//! Bytes to text.

/// How a file's bytes were taken for text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8, with or without a byte order mark.
    Utf8,
    /// UTF-16, told by its byte order mark, or by its empty bytes.
    Utf16,
    /// Windows-1252, when it is neither: numbers are the same in it, names are readable in western
    /// Europe's languages, and feet and inches have their curled marks.
    Windows1252,
}

/// Text from bytes; never fails. The byte order mark is taken off.
///
/// ```
/// use tober::survey::{Encoding, decode};
/// assert_eq!(decode(b"\xef\xbb\xbf1;2"), ("1;2".to_owned(), Encoding::Utf8));
/// assert_eq!(decode(b"H\xf6he; 5\x92 3\x94"), ("Höhe; 5’ 3”".to_owned(), Encoding::Windows1252));
/// assert_eq!(decode(b"\xff\xfe1\0;\0"), ("1;".to_owned(), Encoding::Utf16));
/// assert_eq!(decode(b"\0a\0;\02"), ("a;2".to_owned(), Encoding::Utf16));
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
        _ if is_half_empty(bytes, 1) => (pairs(bytes, u16::from_le_bytes), Encoding::Utf16),
        _ if is_half_empty(bytes, 0) => (pairs(bytes, u16::from_be_bytes), Encoding::Utf16),
        _ => match std::str::from_utf8(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes)) {
            Ok(text) => (text.to_owned(), Encoding::Utf8),
            Err(_) => (
                bytes.iter().map(|byte| windows_1252(*byte)).collect(),
                Encoding::Windows1252,
            ),
        },
    }
}

/// Whether most bytes in every other place are empty, the first of them at `first`: digits and
/// separators in UTF-16. No text in another encoding has an empty byte.
fn is_half_empty(bytes: &[u8], first: usize) -> bool {
    let every_other = bytes.iter().skip(first).step_by(2);
    let empty = every_other.filter(|byte| **byte == 0).count();
    empty > 0 && empty * 4 > bytes.len()
}

/// A character of Windows-1252: Latin-1, with marks and letters in the place of control
/// characters. The five bytes that stand for nothing there stay as they are.
fn windows_1252(byte: u8) -> char {
    /// From 0x80 to 0x9f.
    const MARKS: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž',
        '\u{8f}', '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}',
        'ž', 'Ÿ',
    ];
    let mark = byte
        .checked_sub(0x80)
        .and_then(|place| MARKS.get(usize::from(place)));
    mark.copied().unwrap_or_else(|| char::from(byte))
}
