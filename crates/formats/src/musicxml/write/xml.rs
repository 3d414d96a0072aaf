//! Elements and attributes as text.

use markup::escaped;
use std::fmt::Display;
use xmlwriter::{Indent, Options, XmlWriter};

/// An XML document being written, one element after another.
pub struct Xml {
    out: XmlWriter,
}

impl Xml {
    pub fn new() -> Xml {
        let options = Options { use_single_quote: false, indent: Indent::Spaces(1), attributes_indent: Indent::None };
        let mut out = XmlWriter::new(options);
        out.write_declaration();
        Xml { out }
    }

    pub fn finish(self) -> String {
        self.out.end_document()
    }

    /// Opens an element; [`Xml::close`] ends it.
    pub fn open(&mut self, name: &str, attributes: &[(&str, &dyn Display)]) {
        self.out.start_element(name);
        for (name, value) in attributes {
            self.out.write_attribute(name, &escaped(&value.to_string()));
        }
    }

    pub fn close(&mut self) {
        self.out.end_element();
    }

    /// An element that contains other elements, written by `inside`.
    pub fn within(&mut self, name: &str, attributes: &[(&str, &dyn Display)], inside: impl FnOnce(&mut Xml)) {
        self.open(name, attributes);
        inside(self);
        self.close();
    }

    /// An element with text and no attributes.
    pub fn text(&mut self, name: &str, text: impl Display) {
        self.text_with(name, &[], text);
    }

    pub fn text_with(&mut self, name: &str, attributes: &[(&str, &dyn Display)], text: impl Display) {
        self.open(name, attributes);
        self.out.set_preserve_whitespaces(true);
        self.out.write_text(&escaped(&text.to_string()));
        self.close();
        self.out.set_preserve_whitespaces(false);
    }

    /// An element with nothing inside.
    pub fn empty(&mut self, name: &str, attributes: &[(&str, &dyn Display)]) {
        self.open(name, attributes);
        self.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// XML 1.0, section 2.4 (markup characters) and 2.2 (characters a document may hold).
    #[test]
    fn text_is_escaped() {
        let mut xml = Xml::new();
        xml.text_with("words", &[("name", &"a \"b\" & c ]]>")], "R&B <\u{1}3> ]]\u{2}>");
        let expected = "<words name=\"a &quot;b&quot; &amp; c ]]&gt;\">R&amp;B &lt;3&gt; ]]&gt;</words>";
        assert_eq!(xml.finish().lines().nth(1), Some(expected));
    }
}
