//! A look at the text before parsing, for what would keep the parser busy or fill the memory.
//!
//! The parser compares all attributes of an element with each other, so a tag with very many of them takes minutes. It expands up to 255
//! entities inside an entity, but any number of them in the text itself.

use crate::read::LARGEST_UNPACKED;

/// The longest tag that is read, in bytes.
pub const LONGEST: usize = 4096;

/// The byte offset of the first tag that is too long. Comments, instructions and declarations may be of any length.
pub fn too_long(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut at = 0;
    while let Some(start) = find(bytes, at, b'<') {
        if bytes.get(start + 1).is_some_and(|b| matches!(b, b'!' | b'?')) {
            at = if bytes[start..].starts_with(b"<!--") { after(text, start, "-->") } else { start + 2 };
            continue;
        }
        let end = tag_end(bytes, start);
        if end - start > LONGEST {
            return Some(start);
        }
        at = end;
    }
    None
}

/// Whether the entities that the document declares could make it longer than the longest score that is read.
pub fn floods(text: &str) -> bool {
    const PER_REFERENCE: u64 = 255;
    let Some(start) = text.find("<!DOCTYPE").filter(|_| text.contains("<!ENTITY")) else {
        return false;
    };
    let declared = after(text, start, "]>") - start;
    let known = ["amp;", "lt;", "gt;", "quot;", "apos;", "#"];
    let references = text.split('&').skip(1).filter(|rest| !known.iter().any(|k| rest.starts_with(k))).count();
    (declared as u64).saturating_mul(PER_REFERENCE).saturating_mul(references as u64) > LARGEST_UNPACKED
}

fn find(bytes: &[u8], from: usize, wanted: u8) -> Option<usize> {
    bytes.get(from..)?.iter().position(|b| *b == wanted).map(|i| from + i)
}

fn after(text: &str, from: usize, mark: &str) -> usize {
    text[from..].find(mark).map_or(text.len(), |i| from + i + mark.len())
}

/// Behind the `>` of a tag, quoted values passed over; the end of the text where there is none.
fn tag_end(bytes: &[u8], start: usize) -> usize {
    let mut quote = None;
    for (i, byte) in bytes.iter().enumerate().skip(start) {
        match (quote, byte) {
            (None, b'>') => return i + 1,
            (None, b'"' | b'\'') => quote = Some(*byte),
            (Some(open), _) if *byte == open => quote = None,
            _ => {}
        }
        if i - start > LONGEST {
            return i;
        }
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_tags_are_measured() {
        let long = "x".repeat(LONGEST);
        assert_eq!(too_long(&format!("<!--{long}--><?{long}?><a b='1'>{long}</a>")), None);
        assert_eq!(too_long(&format!("<a><b c=\">{long}\"/></a>")), Some(3));
        assert_eq!(too_long(&format!("<a {long}")), Some(0));
    }
}
