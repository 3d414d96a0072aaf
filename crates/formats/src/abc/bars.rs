//! Bar lines, repeat signs and the numbers of endings, in every spelling (ABC 2.1, 4.8 to 4.10).
//!
//! ```text
//! bar     = [ "." ] { "|" | ":" | "[" before "|" | "]" after "|" } [ endings ]  |  "[" endings
//! endings = number { ("," | "-") number }
//! ```

use music::Barline;

/// The highest number of an ending, and the most colons of a repeat sign, that are believed.
const MOST_PASSES: u32 = 32;

/// One bar sign, understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bar {
    pub line: Barline,
    /// A line is drawn or a repeat stands here; false for a bare `[1`.
    pub drawn: bool,
    /// Colons before the line: how many more times the stretch before is played.
    pub closes: u32,
    /// Colons after the line.
    pub opens: u32,
    /// The passes of an ending that begins here.
    pub endings: Vec<u32>,
}

impl Bar {
    /// A sign that also ends an ending's bracket.
    pub fn is_strong(&self) -> bool {
        self.closes > 0 || self.opens > 0 || matches!(self.line, Barline::Double | Barline::Final)
    }
}

/// Reads the bar sign at a place: the sign and the place after it; `None` where no bar sign stands.
pub fn scan(chars: &[char], from: usize) -> Option<(Bar, usize)> {
    let char_at = |i: usize| chars.get(i).copied().unwrap_or(' ');
    let mut at = from;
    let dotted = char_at(at) == '.' && char_at(at + 1) == '|';
    if dotted {
        at += 1;
    }
    let start = at;
    loop {
        match char_at(at) {
            '|' | ':' => at += 1,
            '[' if char_at(at + 1) == '|' => at += 1,
            ']' if at > start && char_at(at - 1) == '|' => at += 1,
            _ => break,
        }
    }
    let signs = &chars[start..at];
    let bracket = char_at(at) == '[' && char_at(at + 1).is_ascii_digit();
    if bracket {
        at += 1;
    }
    let colons_only = signs.iter().all(|c| *c == ':');
    if !bracket && (signs.is_empty() || signs == [':']) {
        return None;
    }
    let (endings, after) = if bracket || !colons_only { endings(chars, at) } else { (Vec::new(), at) };
    let (closes, opens) = colons(signs);
    let line = if dotted { Barline::Dotted } else { line(signs) };
    Some((Bar { line, drawn: !signs.is_empty(), closes, opens, endings }, after))
}

fn colons(signs: &[char]) -> (u32, u32) {
    let count = |n: usize| (n as u32).min(MOST_PASSES);
    match (signs.iter().position(|c| *c == '|'), signs.iter().rposition(|c| *c == '|')) {
        (Some(first), Some(last)) => {
            let before = signs[..first].iter().filter(|c| **c == ':').count();
            (count(before), count(signs[last..].iter().filter(|c| **c == ':').count()))
        }
        _ => (count(signs.len() / 2), count(signs.len() / 2)),
    }
}

fn line(signs: &[char]) -> Barline {
    let text: String = signs.iter().filter(|c| **c != ':').collect();
    match text.as_str() {
        "[|]" => Barline::None,
        t if t.contains("|]") => Barline::Final,
        t if t.contains("[|") || t.contains("||") => Barline::Double,
        _ => Barline::Plain,
    }
}

/// `1`, `1,3`, `1-3`, `1,3,5-7` at a place: the passes, sorted, and the place after them.
fn endings(chars: &[char], from: usize) -> (Vec<u32>, usize) {
    let number = |mut at: usize| {
        let mut value = None;
        while let Some(digit) = chars.get(at).and_then(|c| c.to_digit(10)) {
            value = Some((value.unwrap_or(0u32) * 10 + digit).min(MOST_PASSES));
            at += 1;
        }
        value.map(|v| (v.max(1), at))
    };
    let Some((first, mut at)) = number(from) else { return (Vec::new(), from) };
    let mut passes = vec![first];
    let mut last = first;
    while let Some(sign) = chars.get(at).filter(|c| matches!(c, ',' | '-')) {
        let Some((next, after)) = number(at + 1).filter(|_| passes.len() <= 64) else { break };
        passes.extend(if *sign == '-' { last..=next } else { next..=next });
        (last, at) = (next, after);
    }
    passes.sort_unstable();
    passes.dedup();
    (passes, at)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> String {
        let chars: Vec<char> = text.chars().collect();
        let Some((bar, after)) = scan(&chars, 0) else { return "no bar".into() };
        let rest: String = chars[after..].iter().collect();
        format!("{:?} {}{} {:?} {rest}", bar.line, bar.closes, bar.opens, bar.endings).trim_end().to_owned()
    }

    /// ABC 2.1, 4.8 to 4.10, with the liberal spellings that 4.8 asks readers to accept.
    #[test]
    fn bars_in_every_spelling() {
        let table = [
            ("|", "Plain 00 []"),
            ("||", "Double 00 []"),
            ("|]", "Final 00 []"),
            ("[|", "Double 00 []"),
            ("[|]", "None 00 []"),
            (".|", "Dotted 00 []"),
            ("|:", "Plain 01 []"),
            (":|", "Plain 10 []"),
            ("::", "Plain 11 []"),
            (":|:", "Plain 11 []"),
            (":||:", "Double 11 []"),
            (":|]", "Final 10 []"),
            ("[|:", "Double 01 []"),
            ("|::", "Plain 02 []"),
            ("::|", "Plain 20 []"),
            ("|1", "Plain 00 [1]"),
            (":|2A", "Plain 10 [2] A"),
            ("[1", "Plain 00 [1]"),
            ("|[1,3 A", "Plain 00 [1, 3]  A"),
            ("[1-3", "Plain 00 [1, 2, 3]"),
            (":|[2,4-6", "Plain 10 [2, 4, 5, 6]"),
            ("|[CEG]", "Plain 00 [] [CEG]"),
            ("|[K:D]", "Plain 00 [] [K:D]"),
            (":", "no bar"),
            ("[CEG]", "no bar"),
        ];
        for (text, expected) in table {
            assert_eq!(read(text), expected, "{text}");
        }
    }
}
