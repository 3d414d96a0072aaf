//! A leaf as bytes, for the way from the process that drew it to the one that makes the document: numbers are four bytes, the lowest first, and what has a length has it before it.

use super::{Leaf, Used};
use crate::face::Face;

impl Leaf {
    /// All of it; [`Leaf::read`] reads it.
    pub fn bytes(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(self.content.len() + 4096);
        for length in [self.paper.0, self.paper.1] {
            out.extend(length.to_le_bytes());
        }
        put(&mut out, &self.content);
        number(&mut out, self.used.letters.len());
        for (face, letters) in &self.used.letters {
            number(&mut out, *face as usize);
            number(&mut out, letters.len());
            for (glyph, text) in letters {
                number(&mut out, usize::from(*glyph));
                put(&mut out, text.as_bytes());
            }
        }
        number(&mut out, self.used.signs.len());
        self.used.signs.iter().for_each(|glyph| number(&mut out, usize::from(*glyph)));
        out
    }

    /// A leaf from its bytes; `None` for what is none.
    pub fn read(bytes: &[u8]) -> Option<Leaf> {
        let mut rest = Rest(bytes);
        let mut leaf = Leaf { paper: (rest.length()?, rest.length()?), content: rest.part()?.to_vec(), used: Used::default() };
        for _ in 0..rest.number()? {
            let face = *Face::ALL.get(rest.number()?)?;
            let letters = leaf.used.letters.entry(face).or_default();
            for _ in 0..rest.number()? {
                let glyph = u16::try_from(rest.number()?).ok()?;
                letters.insert(glyph, std::str::from_utf8(rest.part()?).ok()?.to_owned());
            }
        }
        for _ in 0..rest.number()? {
            leaf.used.signs.insert(u16::try_from(rest.number()?).ok()?);
        }
        rest.0.is_empty().then_some(leaf)
    }
}

fn number(out: &mut Vec<u8>, number: usize) {
    let number = u32::try_from(number).expect("no page has four thousand million of anything");
    out.extend(number.to_le_bytes());
}

fn put(out: &mut Vec<u8>, part: &[u8]) {
    number(out, part.len());
    out.extend(part);
}

struct Rest<'a>(&'a [u8]);

impl<'a> Rest<'a> {
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (first, rest) = self.0.split_first_chunk::<N>()?;
        self.0 = rest;
        Some(*first)
    }

    fn number(&mut self) -> Option<usize> {
        usize::try_from(u32::from_le_bytes(self.take()?)).ok()
    }

    fn length(&mut self) -> Option<f64> {
        Some(f64::from_le_bytes(self.take()?)).filter(|length| length.is_finite() && *length > 0.0)
    }

    fn part(&mut self) -> Option<&'a [u8]> {
        let length = self.number()?;
        let (part, rest) = self.0.split_at_checked(length)?;
        self.0 = rest;
        Some(part)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Shape;
    use crate::pages::Page;
    use crate::text::{Anchor, Run, TextLine};

    fn leaf() -> Leaf {
        let mut page = Page::new(21_000.0, 29_700.0, 100.0);
        let runs = vec![Run::new("Ἀρχὴ in B♭", Face::Bold, 400.0)];
        page.shapes.push(Shape::Text(TextLine { x: 10.0, y: 10.0, anchor: Anchor::Start, runs }));
        Leaf::of(&page)
    }

    #[test]
    fn a_leaf_comes_as_it_was_sent() {
        let leaf = leaf();
        assert!(leaf.used.letters.len() > 2, "three fonts: {:?}", leaf.used.letters.keys());
        assert_eq!(Leaf::read(&leaf.bytes()), Some(leaf));
    }

    #[test]
    fn what_is_no_leaf_is_refused() {
        let bytes = leaf().bytes();
        for short in 0..bytes.len() {
            assert_eq!(Leaf::read(&bytes[..short]), None, "{short} bytes");
        }
        assert_eq!(Leaf::read(&[bytes, vec![0]].concat()), None);
        assert_eq!(Leaf::read(&[255; 64]), None);
    }
}
