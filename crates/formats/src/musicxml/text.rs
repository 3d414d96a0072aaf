//! From bytes to text: byte-order marks, UTF-16, and the encoding that the XML declaration names.

use crate::diagnostic::{Diagnostic, Severity, Span};
use crate::read::ReadError;
use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// How much of the file is looked at for the XML declaration, in bytes.
const DECLARATION: usize = 256;

/// An error that stops the reading, at a line and column.
pub fn unusable(line: u32, column: u32, message: String, hint: &str) -> ReadError {
    let hint = (!hint.is_empty()).then(|| hint.to_owned());
    ReadError::Unusable(Diagnostic { severity: Severity::Error, span: Span { line, column, width: 1 }, message, hint })
}

/// Whether these bytes begin like an XML document, in any encoding a score comes in.
pub fn begins_like_xml(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(DECLARATION)];
    let head = sixteen_bit(head).unwrap_or(UTF_8).decode(head).0;
    let head = head.trim_start();
    head.strip_prefix('<').is_some_and(|rest| rest.starts_with(['?', '!']) || rest.starts_with(|c: char| c.is_ascii_alphabetic()))
}

/// The text, and whether it had to be guessed because it is not in the encoding it claims.
pub fn decode(bytes: &[u8]) -> (String, Certainty) {
    if let Some(encoding) = sixteen_bit(bytes) {
        return (encoding.decode(bytes).0.into_owned(), Certainty::AsDeclared);
    }
    let encoding = declared(bytes).unwrap_or(UTF_8);
    let (text, _, broken) = encoding.decode(bytes);
    if broken && encoding == UTF_8 {
        return (WINDOWS_1252.decode(bytes).0.into_owned(), Certainty::Guessed);
    }
    (text.into_owned(), Certainty::AsDeclared)
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Certainty {
    AsDeclared,
    /// Not valid UTF-8: taken as Latin-1 (Windows-1252).
    Guessed,
}

fn sixteen_bit(bytes: &[u8]) -> Option<&'static Encoding> {
    match bytes {
        [0xFF, 0xFE, ..] | [b'<', 0, ..] => Some(UTF_16LE),
        [0xFE, 0xFF, ..] | [0, b'<', ..] => Some(UTF_16BE),
        _ => None,
    }
}

/// The encoding that the XML declaration names. A file in single bytes that claims UTF-16 was re-coded on its way and is taken as UTF-8.
fn declared(bytes: &[u8]) -> Option<&'static Encoding> {
    let head: String = bytes.iter().take(DECLARATION).map(|b| char::from(*b)).collect();
    let declaration = head.split_once("?>")?.0;
    let value = declaration.split_once("encoding")?.1.trim_start().strip_prefix('=')?.trim_start();
    let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    let label = value[1..].split(quote).next()?;
    Encoding::for_label(label.as_bytes()).filter(|e| *e != UTF_16LE && *e != UTF_16BE)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// "Café" in each encoding, written out from the code tables.
    #[test]
    fn encodings_are_told_apart() {
        let latin = b"<?xml version='1.0' encoding='ISO-8859-1'?><a>Caf\xE9</a>";
        assert!(decode(latin).0.contains("Café"));
        let wide: Vec<u8> = "<a>Café</a>".encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(decode(&wide).0, "<a>Café</a>");
        assert_eq!(decode(b"\xEF\xBB\xBF<a>Caf\xC3\xA9</a>").0, "<a>Café</a>");
        assert_eq!(decode(b"<a>Caf\xE9</a>"), ("<a>Café</a>".into(), Certainty::Guessed));
        assert!(decode("<?xml version=\"1.0\" encoding=\"UTF-16\"?><a>é</a>".as_bytes()).0.contains('é'));
    }
}
