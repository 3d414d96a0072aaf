//! Lines short enough for a braille display, and back: a line of the form that is longer than the display goes on in the next one, which begins with two spaces.

/// Cells of the display that lines are made for: the commonest large one has forty.
pub const CELLS: usize = 40;
/// What a line that goes on begins with.
const GOES_ON: &str = "  ";
/// A word longer than this is broken in two.
const LONGEST_WORD: usize = 76;

/// One line of the form as lines of the display, each with its end. They never break between a word and the number that belongs to it.
pub fn folded(line: &str) -> String {
    let words = words(line);
    let (mut out, mut from, mut room) = (String::new(), 0, CELLS);
    while from < words.len() {
        let to = from + fitting(&words[from..], room);
        if from > 0 {
            out += GOES_ON;
        }
        out += &words[from..to].join(" ");
        out.push('\n');
        (from, room) = (to, CELLS - GOES_ON.len());
    }
    if words.is_empty() { "\n".into() } else { out }
}

/// Words with the numbers that belong to them, those too long for any line broken.
fn words(line: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        let number = word.starts_with(|c: char| c.is_ascii_digit());
        match words.last_mut().filter(|last| number && last.chars().count() + word.len() < CELLS / 2) {
            Some(last) => *last = format!("{last} {word}"),
            None => {
                let letters: Vec<char> = word.chars().collect();
                words.extend(letters.chunks(LONGEST_WORD).map(|part| part.iter().collect::<String>()));
            }
        }
    }
    words
}

/// How many words fit, at least one. Where they are more, the line ends after its last comma or before its last "and", if that fills more than half of it.
fn fitting(words: &[String], room: usize) -> usize {
    let (mut used, mut count, mut after_comma, mut before_and) = (0, 0, None, None);
    for word in words {
        let length = word.chars().count() + usize::from(count > 0);
        if count > 0 && used + length > room {
            let and = before_and.or((word == "and").then_some(count));
            return after_comma.or(and).unwrap_or(count);
        }
        if word == "and" && used * 2 > room {
            before_and = Some(count);
        }
        (used, count) = (used + length, count + 1);
        if word.ends_with(',') && used * 2 > room {
            after_comma = Some(count);
        }
    }
    count
}

/// The lines of the form with the number, from 1, of the line of the text on which each begins. Empty lines are lines.
pub fn unfolded(text: &str) -> Vec<(usize, String)> {
    let mut all: Vec<(usize, String)> = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        match (line.strip_prefix(GOES_ON), all.last_mut()) {
            (Some(more), Some((_, last))) if !last.is_empty() => {
                last.push(' ');
                last.push_str(more);
            }
            _ => all.push((number, line.to_owned())),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_go_on_and_come_back() {
        let line = "Left hand: quarter C3 finger 4 and G3 finger 2, E-flat 4 finger 1, beat 3: dotted quarter rest";
        let folded = folded(line);
        assert_eq!(folded, "Left hand: quarter C3 finger 4\n  and G3 finger 2, E-flat 4 finger 1,\n  beat 3: dotted quarter rest\n");
        assert!(folded.lines().all(|l| l.len() <= CELLS));
        assert_eq!(unfolded(&folded), [(1, line.to_owned())]);
    }

    #[test]
    fn no_line_is_longer_than_eighty() {
        let long = "x".repeat(500);
        assert!(folded(&format!("Title {long} end")).lines().all(|l| l.chars().count() <= 80));
    }
}
