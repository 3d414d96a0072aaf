//! A file cut into its header and its tunes, and a tune into fields and lines of music (ABC 2.1, chapters 2 and 3).

/// A line with its number, from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line<'a> {
    pub number: u32,
    pub text: &'a str,
}

/// One tune of the file.
#[derive(Debug)]
pub struct TuneText<'a> {
    /// The number in its `X:` field.
    pub number: Option<u32>,
    pub title: String,
    pub lines: Vec<Line<'a>>,
    /// Lines after the empty line that ends the tune.
    pub after: Vec<Line<'a>>,
}

/// A file: the lines before the first tune, and the tunes.
#[derive(Debug)]
pub struct FileText<'a> {
    pub header: Vec<Line<'a>>,
    pub tunes: Vec<TuneText<'a>>,
}

/// The lines of a text, ended by LF, CR LF or CR.
pub fn lines(text: &str) -> Vec<Line<'_>> {
    let mut all = Vec::new();
    for piece in text.split('\n') {
        let piece = piece.strip_suffix('\r').unwrap_or(piece);
        for text in piece.split('\r') {
            all.push(Line { number: all.len() as u32 + 1, text });
        }
    }
    all
}

/// Cuts a file at its `X:` fields. A file without any is one tune.
pub fn cut<'a>(lines: &[Line<'a>]) -> FileText<'a> {
    let starts: Vec<usize> = (0..lines.len()).filter(|i| lines[*i].text.starts_with("X:")).collect();
    let Some(first) = starts.first() else {
        return FileText { header: Vec::new(), tunes: vec![tune(lines, None)] };
    };
    let ends = starts.iter().skip(1).copied().chain([lines.len()]);
    let tunes = starts.iter().zip(ends).map(|(from, to)| tune(&lines[*from..to], reference(lines[*from].text))).collect();
    FileText { header: lines[..*first].to_vec(), tunes }
}

fn reference(line: &str) -> Option<u32> {
    let value = line[2..].trim_start();
    let digits = value.len() - value.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    value[..digits].parse().ok()
}

/// A tune ends at the first empty line after its `K:` field (2.2.4).
fn tune<'a>(lines: &[Line<'a>], number: Option<u32>) -> TuneText<'a> {
    let head = lines.iter().position(|l| l.text.starts_with("K:")).unwrap_or(lines.len());
    let end = (head..lines.len()).find(|i| lines[*i].text.trim().is_empty()).unwrap_or(lines.len());
    let title = lines.iter().find_map(|l| l.text.strip_prefix("T:")).map(|t| super::text::clean(without_comment(t))).unwrap_or_default();
    TuneText { number, title, lines: lines[..end].to_vec(), after: lines[end..].to_vec() }
}

/// A text without the comment that a `%` opens; `\%` is a percent sign (2.2.5).
pub fn without_comment(text: &str) -> &str {
    let mut before = ' ';
    for (i, c) in text.char_indices() {
        if c == '%' && before != '\\' {
            return &text[..i];
        }
        before = c;
    }
    text
}

/// The same for a line of music, where a `%` between quotation marks is kept.
fn music_without_comment(text: &str) -> &str {
    let mut quotes = 0;
    let last_quote = text.rfind('"');
    for (i, c) in text.char_indices() {
        match c {
            '"' => quotes += 1,
            '%' if quotes % 2 == 0 || last_quote.is_none_or(|last| last < i) => return &text[..i],
            _ => {}
        }
    }
    text
}

/// One thing a tune is made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece<'a> {
    Field {
        letter: char,
        value: String,
        line: Line<'a>,
    },
    /// What follows `%%`.
    Directive {
        text: &'a str,
        line: Line<'a>,
    },
    /// Music code without its comment.
    Music {
        text: &'a str,
        line: Line<'a>,
    },
}

/// The letters that no field of music code may be mistaken for: `A:|` is a note and a bar (3.2).
const HEADER_ONLY: &str = "ABCDEFG";

/// Cuts lines into pieces; fields carry their `+:` continuations (3.3).
pub fn pieces<'a>(lines: &[Line<'a>]) -> Vec<Piece<'a>> {
    let mut found: Vec<Piece> = Vec::new();
    let mut block: Option<String> = None;
    for line in lines {
        let text = line.text;
        if let Some(directive) = text.strip_prefix("%%") {
            let name = directive.trim();
            if block.as_ref().is_some_and(|end| name.starts_with(end.as_str())) {
                block = None;
            } else if let Some(kind) = name.strip_prefix("begin") {
                block = Some(format!("end{}", kind.split_whitespace().next().unwrap_or("")));
            } else if block.is_none() {
                found.push(Piece::Directive { text: without_comment(directive), line: *line });
            }
        } else if block.is_none() && !text.starts_with('%') && !text.trim().is_empty() {
            piece(*line, &mut found);
        }
    }
    found
}

fn piece<'a>(line: Line<'a>, found: &mut Vec<Piece<'a>>) {
    let text = line.text;
    let mut chars = text.chars();
    let letter = chars.next().filter(|_| chars.next() == Some(':'));
    match letter {
        Some('+') => {
            let more = without_comment(&text[2..]).trim();
            match found.last_mut() {
                Some(Piece::Field { value, .. }) => {
                    value.push(' ');
                    value.push_str(more);
                }
                _ => found.push(Piece::Field { letter: '+', value: more.to_owned(), line }),
            }
        }
        Some(letter) if letter.is_ascii_alphabetic() && !(HEADER_ONLY.contains(letter) && text[2..].starts_with(['|', ':'])) => {
            let value = without_comment(&text[2..]).trim();
            match found.last_mut() {
                // The continuation of ABC 2.0: a backslash at the end of a line of words.
                Some(Piece::Field { letter: 'w', value: before, .. }) if letter == 'w' && before.ends_with('\\') => {
                    before.pop();
                    before.push(' ');
                    before.push_str(value);
                }
                _ => found.push(Piece::Field { letter, value: value.to_owned(), line }),
            }
        }
        _ => found.push(Piece::Music { text: music_without_comment(text), line }),
    }
}
