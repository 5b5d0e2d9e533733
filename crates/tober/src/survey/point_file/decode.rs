//! Bytes to text.

use super::super::book_titles::is_sight;
use super::columns::kind;

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
    /// Windows-1250, of central Europe, where that alone makes titles of the text's words.
    Windows1250,
    /// Windows-1251, Cyrillic, likewise.
    Windows1251,
    /// Windows-1254, Turkish, likewise.
    Windows1254,
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
            Err(_) => old(bytes),
        },
    }
}

/// Text in the code page of Windows in which most of its words are titles of columns: nothing else
/// tells the code pages apart.
///
/// ```text
///   z p 0xEC t     zpìt in western Europe; zpět, back, in Czech
/// ```
fn old(bytes: &[u8]) -> (String, Encoding) {
    let pages = [
        (Encoding::Windows1252, encoding_rs::WINDOWS_1252),
        (Encoding::Windows1250, encoding_rs::WINDOWS_1250),
        (Encoding::Windows1251, encoding_rs::WINDOWS_1251),
        (Encoding::Windows1254, encoding_rs::WINDOWS_1254),
    ];
    let read = |page: &'static encoding_rs::Encoding, bytes: &[u8]| -> String {
        page.decode_without_bom_handling(bytes).0.into_owned()
    };
    let head = bytes.get(..HEAD).unwrap_or(bytes);
    let titles = |page| {
        let text = read(page, head).to_lowercase();
        // A capital i with its dot leaves the dot behind.
        let words = text.split(|c: char| !c.is_alphabetic() && c != '\u{307}');
        let words = words.filter(|word| !word.is_ascii() && word.chars().count() > 1);
        words.filter(|word| is_title(word)).count()
    };
    let mut best = (0, Encoding::Windows1252, encoding_rs::WINDOWS_1252);
    for (encoding, page) in pages {
        let found = titles(page);
        if found > best.0 {
            best = (found, encoding, page);
        }
    }
    (read(best.2, bytes), best.1)
}

/// Where a file has its titles, bytes.
const HEAD: usize = 8_000;

/// Whether a word is a title of a column, in a point file or in a field book.
fn is_title(word: &str) -> bool {
    kind(word).is_some() || is_sight(word)
}

/// Whether most bytes in every other place are empty, the first of them at `first`: digits and
/// separators in UTF-16. No text in another encoding has an empty byte.
fn is_half_empty(bytes: &[u8], first: usize) -> bool {
    let every_other = bytes.iter().skip(first).step_by(2);
    let empty = every_other.filter(|byte| **byte == 0).count();
    empty > 0 && empty * 4 > bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn code_pages_are_told_by_the_titles() {
        for (bytes, text, encoding) in [
            (
                b"bod;zp\xect;vp\xf8ed;v\xfd\x9aka".as_slice(),
                "bod;zpět;vpřed;výška",
                Encoding::Windows1250,
            ),
            (
                b"\xd2\xee\xf7\xea\xe0;\xc2\xfb\xf1\xee\xf2\xe0",
                "Точка;Высота",
                Encoding::Windows1251,
            ),
            (
                b"Nokta;Geri;\xddleri;Kot",
                "Nokta;Geri;İleri;Kot",
                Encoding::Windows1254,
            ),
            (
                b"Punkt;H\xf6he;R\xfcckblick",
                "Punkt;Höhe;Rückblick",
                Encoding::Windows1252,
            ),
            (b"caf\xe9", "café", Encoding::Windows1252),
        ] {
            assert_eq!(decode(bytes), (text.to_owned(), encoding));
        }
    }
}
