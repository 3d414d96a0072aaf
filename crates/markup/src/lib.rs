//! Text made safe for XML, for everything that writes it (MusicXML, SVG): the one place that knows how. It knows nothing of what is written.

/// Appends a text so that it may stand in XML content and in attributes with double quotes: markup characters as entities (XML 1.0, section 2.4), without the
/// characters that a document may not hold (section 2.2).
pub fn escape_into(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => *out += "&amp;",
            '<' => *out += "&lt;",
            '>' => *out += "&gt;",
            '"' => *out += "&quot;",
            '\t' | '\n' | '\r' | ' '..='\u{FFFD}' | '\u{10000}'.. => out.push(c),
            _ => {}
        }
    }
}

/// The same as a text of its own.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    escape_into(&mut out, text);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_made_safe() {
        assert_eq!(escaped("R&B <\u{1}3> \"a\" ]]\u{2}>\n\u{FFFF}雨"), "R&amp;B &lt;3&gt; &quot;a&quot; ]]&gt;\n雨");
    }
}
