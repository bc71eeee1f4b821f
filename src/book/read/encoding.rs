//! From the bytes of a table to its text: UTF-8, UTF-16 that says so, and the letters of Windows in Western Europe where a file is
//! neither. Knows no cell.

use encoding_rs::{Encoding, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// The text of a file and what it was written in.
#[derive(Debug)]
pub struct Decoded {
    /// The text, without its byte-order mark if it was UTF-16.
    pub text: String,
    /// How its bytes were read.
    pub from: From,
}

/// How bytes were read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// As UTF-8.
    Utf8,
    /// As UTF-16, as its byte-order mark says.
    Utf16,
    /// As windows-1252, since they are not UTF-8; the first letter that this decides stands at this byte of the text.
    Windows(usize),
    /// As none of them: from this byte of the text on it is damaged.
    Damaged(usize),
}

/// The text of a table's bytes.
///
/// Of two readings the likelier: bytes that cannot be UTF-8, with none before them that only UTF-8 would have, are letters of
/// Windows, unless some of them are letters nowhere.
pub fn decode(bytes: Vec<u8>) -> Decoded {
    let marked = Encoding::for_bom(&bytes).filter(|(encoding, _)| [UTF_16LE, UTF_16BE].contains(encoding));
    if let Some((encoding, mark)) = marked {
        let body = bytes.get(mark..).unwrap_or_default();
        let (text, has_errors) = encoding.decode_without_bom_handling(body);
        let damaged = has_errors.then(|| text.find(char::REPLACEMENT_CHARACTER).unwrap_or_default());
        return Decoded { from: damaged.map_or(From::Utf16, From::Damaged), text: text.into_owned() };
    }
    let error = match String::from_utf8(bytes) {
        Ok(text) => return Decoded { text, from: From::Utf8 },
        Err(error) => error,
    };
    let at = error.utf8_error().valid_up_to();
    let bytes = error.into_bytes();
    let (before, _) = bytes.split_at_checked(at).unwrap_or_default();
    if before.is_ascii() && bytes.iter().all(|byte| is_of_windows(*byte)) {
        let (text, _) = WINDOWS_1252.decode_without_bom_handling(&bytes);
        return Decoded { text: text.into_owned(), from: From::Windows(at) };
    }
    Decoded { text: String::from_utf8_lossy(&bytes).into_owned(), from: From::Damaged(at) }
}

/// Whether a byte is a letter of windows-1252 or what parts lines and cells; five of its bytes stand for nothing.
fn is_of_windows(byte: u8) -> bool {
    !matches!(byte, 0x00..=0x08 | 0x0B | 0x0C | 0x0E..=0x1F | 0x7F | 0x81 | 0x8D | 0x8F | 0x90 | 0x9D)
}
