//! From bytes to text, and from ABC's ways of writing letters with accents to the letters.
//!
//! ABC 2.1, 2.1 and 8.2: a file is UTF-8 unless `%%abc-charset` (or `I:abc-charset`) says otherwise; accents may be written `\'e`,
//! `&eacute;` or `\u00e9`.

use crate::diagnostic::{Diagnostic, Severity, Span};
use encoding_rs::{Encoding, UTF_8, WINDOWS_1252};

/// The text, and a note where the encoding had to be guessed.
pub fn decode(bytes: &[u8]) -> (String, Option<Diagnostic>) {
    if let Some((encoding, _)) = Encoding::for_bom(bytes) {
        return (encoding.decode(bytes).0.into_owned(), None);
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        return (text.to_owned(), None);
    }
    let named = charset(bytes).filter(|e| *e != UTF_8);
    let (text, _) = named.unwrap_or(WINDOWS_1252).decode_without_bom_handling(bytes);
    let message = "the file is not valid UTF-8 and names no character set: it was read as Western European (windows-1252)";
    let note = Diagnostic {
        severity: Severity::Note,
        span: Span { line: 1, column: 1, width: 1 },
        message: message.into(),
        hint: Some("save the file as UTF-8, or name its character set in a line %%abc-charset".into()),
    };
    (text.into_owned(), named.is_none().then_some(note))
}

fn charset(bytes: &[u8]) -> Option<&'static Encoding> {
    const MARK: &[u8] = b"abc-charset";
    let at = bytes.windows(MARK.len()).position(|w| w == MARK)?;
    let rest = &bytes[at + MARK.len()..];
    let label = rest.split(|b| matches!(b, b'\r' | b'\n' | b'%')).next()?;
    Encoding::for_label(label.trim_ascii())
}

/// Combining marks of the backslash form (8.2), by the character after the backslash.
const MARKS: [(char, char); 11] = [
    ('`', '\u{300}'),
    ('\'', '\u{301}'),
    ('^', '\u{302}'),
    ('~', '\u{303}'),
    ('"', '\u{308}'),
    ('r', '\u{30a}'),
    ('c', '\u{327}'),
    ('v', '\u{30c}'),
    ('u', '\u{306}'),
    ('H', '\u{30b}'),
    (';', '\u{328}'),
];

/// Letters that are written with two others after the backslash.
const PAIRS: [(&str, &str); 12] = [
    ("ss", "ß"),
    ("aa", "å"),
    ("AA", "Å"),
    ("ae", "æ"),
    ("AE", "Æ"),
    ("oe", "œ"),
    ("OE", "Œ"),
    ("/o", "ø"),
    ("/O", "Ø"),
    ("/l", "ł"),
    ("/d", "đ"),
    ("DH", "Ð"),
];

/// Composed letters: base letters and what each mark makes of them.
const COMPOSED: [(char, &str, &str); 10] = [
    ('\u{300}', "aeiouAEIOUnN", "àèìòùÀÈÌÒÙǹǸ"),
    ('\u{301}', "aeiouyAEIOUYcnszCNSZ", "áéíóúýÁÉÍÓÚÝćńśźĆŃŚŹ"),
    ('\u{302}', "aeiouyAEIOUYwW", "âêîôûŷÂÊÎÔÛŶŵŴ"),
    ('\u{303}', "anoANOiIuU", "ãñõÃÑÕĩĨũŨ"),
    ('\u{308}', "aeiouyAEIOUY", "äëïöüÿÄËÏÖÜŸ"),
    ('\u{30a}', "aAuU", "åÅůŮ"),
    ('\u{327}', "cCsStT", "çÇşŞţŢ"),
    ('\u{30c}', "cCsSzZeErRnN", "čČšŠžŽěĚřŘňŇ"),
    ('\u{306}', "aAgGuUeEoO", "ăĂğĞŭŬĕĔŏŎ"),
    ('\u{30b}', "oOuU", "őŐűŰ"),
];

/// Character entities that tune books use; others stay as they are written.
const ENTITIES: [(&str, &str); 13] = [
    ("amp", "&"),
    ("quot", "\""),
    ("lt", "<"),
    ("gt", ">"),
    ("nbsp", " "),
    ("copy", "©"),
    ("szlig", "ß"),
    ("aelig", "æ"),
    ("AElig", "Æ"),
    ("oslash", "ø"),
    ("Oslash", "Ø"),
    ("rsquo", "’"),
    ("apos", "'"),
];

/// A text field as it is meant: accents composed, entities and escapes resolved, font changes (`/f2 … /fP`) of the Nottingham database
/// left out.
pub fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text.trim();
    while let Some(c) = rest.chars().next() {
        let (taken, piece) = match c {
            '\\' => backslash(&rest[1..]),
            '&' => entity(&rest[1..]),
            '/' => font(&rest[1..]),
            _ => None,
        }
        .map_or((c.len_utf8(), c.to_string()), |(taken, piece)| (taken + 1, piece));
        out.push_str(&piece);
        rest = &rest[taken..];
    }
    out
}

/// What several fields say, one after another: without what an empty field or the end of a list leaves standing between them ("trad.;" and "A. Nother").
pub fn joined(fields: &[impl AsRef<str>]) -> String {
    let ends = |c: char| c.is_whitespace() || matches!(c, ';' | ',' | ':');
    let said = fields.iter().map(|field| field.as_ref().trim_matches(ends)).filter(|field| !field.is_empty());
    said.collect::<Vec<_>>().join("; ")
}

/// What follows a backslash: how many bytes, and the text they mean.
fn backslash(rest: &str) -> Option<(usize, String)> {
    if let Some((written, letter)) = PAIRS.iter().find(|(written, _)| rest.starts_with(written)) {
        return Some((written.len(), (*letter).to_owned()));
    }
    let mut chars = rest.chars();
    let first = chars.next()?;
    if first == 'u' || first == 'U' {
        let digits = rest.get(1..5).filter(|d| d.bytes().all(|b| b.is_ascii_hexdigit()));
        if let Some(c) = digits.and_then(|d| u32::from_str_radix(d, 16).ok()).and_then(char::from_u32) {
            return Some((5, c.to_string()));
        }
    }
    if let (Some((_, mark)), Some(base)) = (MARKS.iter().find(|m| m.0 == first), chars.next())
        && let Some(c) = compose(base, *mark)
    {
        return Some((first.len_utf8() + base.len_utf8(), c.to_string()));
    }
    "&%\\\"".contains(first).then(|| (first.len_utf8(), first.to_string()))
}

fn compose(base: char, mark: char) -> Option<char> {
    let (_, bases, composed) = COMPOSED.iter().find(|c| c.0 == mark)?;
    bases.chars().zip(composed.chars()).find(|(b, _)| *b == base).map(|(_, c)| c)
}

fn entity(rest: &str) -> Option<(usize, String)> {
    let end = rest.char_indices().take(10).find(|(_, c)| *c == ';')?.0;
    let name = &rest[..end];
    if let Some((_, text)) = ENTITIES.iter().find(|e| e.0 == name) {
        return Some((end + 1, (*text).to_owned()));
    }
    if let Some(number) = name.strip_prefix('#') {
        let code = number.strip_prefix(['x', 'X']).map_or_else(|| number.parse().ok(), |hex| u32::from_str_radix(hex, 16).ok());
        return Some((end + 1, char::from_u32(code?)?.to_string()));
    }
    let mark = [
        ("grave", '\u{300}'),
        ("acute", '\u{301}'),
        ("circ", '\u{302}'),
        ("tilde", '\u{303}'),
        ("uml", '\u{308}'),
        ("ring", '\u{30a}'),
        ("cedil", '\u{327}'),
        ("caron", '\u{30c}'),
    ];
    let base = name.chars().next()?;
    let (_, mark) = mark.iter().find(|(word, _)| *word == &name[base.len_utf8()..])?;
    Some((end + 1, compose(base, *mark)?.to_string()))
}

fn font(rest: &str) -> Option<(usize, String)> {
    let mut chars = rest.chars();
    (chars.next()? == 'f' && chars.next().is_some_and(|c| c.is_ascii_digit() || c == 'P')).then(|| (2, String::new()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ABC 2.1, 8.2: the three ways of writing accents.
    #[test]
    fn fields_are_joined_by_one_sign() {
        assert_eq!(joined(&["trad.;", "A. Nother"]), "trad.; A. Nother");
        assert_eq!(joined(&["Sea;", " ;", "Shore,"]), "Sea; Shore");
        assert_eq!(joined(&[";"]), "");
    }

    #[test]
    fn accents_become_letters() {
        let table = [
            (r"caf\'e", "café"),
            (r#"sch\"on"#, "schön"),
            ("caf&eacute;", "café"),
            (r"caf\u00e9", "café"),
            (r"H\&S 552", "H&S 552"),
            ("Temperance &amp; Reform", "Temperance & Reform"),
            (r"\cc \aa \/o \ss", "ç å ø ß"),
            ("fish & chips; ale", "fish & chips; ale"),
            ("&#233;&#xe9;", "éé"),
            (r"back\slash \", r"back\slash \"),
            ("/f2Play AABA last time/fP", "Play AABA last time"),
        ];
        for (written, meant) in table {
            assert_eq!(clean(written), meant);
        }
    }

    #[test]
    fn encodings_are_told_apart() {
        assert_eq!(decode("é".as_bytes()), ("é".into(), None));
        assert_eq!(decode(b"\xef\xbb\xbfX:1").0, "X:1");
        let (text, note) = decode(b"T:caf\xe9");
        assert_eq!((text.as_str(), note.is_some()), ("T:café", true));
        let (text, note) = decode(b"%%abc-charset iso-8859-2\nT:\xe8");
        assert_eq!((text.as_str(), note.is_some()), ("%%abc-charset iso-8859-2\nT:č", false));
    }
}
