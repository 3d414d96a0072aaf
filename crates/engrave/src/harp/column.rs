//! The marks of one beat as a column of lines: muffles first, then levers from the highest string down, then pedals, right foot above left
//! (common practice), then a full setting as its diagram with the letters under it. What is moved stands in one frame, so that it is found at a glance and not
//! taken for a chord or a string to muffle.

use super::diagram;
use crate::face::Face;
use crate::text::Run;

#[derive(Clone, Debug, PartialEq)]
pub(crate) enum HarpMark {
    MuffleAll,
    /// With the names of the strings, or none for what sounds here.
    Muffle(String),
    /// A lever or a pedal goes to where this is its sound.
    Move(Name),
    /// All pedals, from C to B.
    Setting([i32; 7]),
}

/// A string ("F♯4") or a letter in all octaves ("F♯").
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Name {
    /// 0 for C to 6 for B.
    letter: usize,
    sign: String,
    octave: Option<i32>,
    /// "(2nd time)", where the first does not need it.
    time: Option<String>,
}

impl Name {
    /// A letter with an accidental, an octave if it is a string, and perhaps the time through that needs it; nothing else is taken for one.
    pub fn read(words: &str) -> Option<Name> {
        let (words, time) = match words.split_once(' ') {
            Some((words, time)) if time.starts_with('(') && time.ends_with(" time)") => (words, Some(time.to_owned())),
            _ => (words, None),
        };
        let letter = "CDEFGAB".find(words.chars().next()?)?;
        let signs = words[1..].trim_end_matches(|c: char| c.is_ascii_digit());
        let octave = &words[1 + signs.len()..];
        let good = matches!(signs, "♮" | "♭" | "♯" | "♭♭" | "♯♯") && octave.len() <= 1;
        good.then(|| Name { letter, sign: signs.to_owned(), octave: octave.parse().ok(), time })
    }

    pub fn pedal(letter: usize, alter: i32) -> Name {
        Name { letter, sign: diagram::sign(alter, "♮").to_owned(), octave: None, time: None }
    }

    fn words(&self) -> String {
        let letter = &"CDEFGAB"[self.letter..=self.letter];
        let time = self.time.as_ref().map_or(String::new(), |time| format!(" {time}"));
        format!("{letter}{}{}{time}", self.sign, self.octave.map_or(String::new(), |o| o.to_string()))
    }

    /// How high its string is.
    fn height(&self) -> i32 {
        self.octave.unwrap_or(0) * 7 + self.letter as i32
    }

    /// The place of its pedal among those of its foot: D C B, E F G A.
    fn place_in_its_row(&self) -> usize {
        [1, 0, 0, 1, 2, 3, 2][self.letter]
    }

    /// D, C and B are the left foot's pedals (harp facts 1.5).
    fn is_left_foot(&self) -> bool {
        matches!(self.letter, 0 | 1 | 6)
    }
}

/// One line of a column.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Line {
    Text(Vec<Run>),
    /// What is moved: these lines of a column follow each other and stand in one frame.
    Framed(Vec<Run>),
    Diagram([i32; 7]),
}

/// The em of lever and pedal names in library units: capitals as tall as one and a half staff spaces, to be read at arm's length.
pub(crate) const SIZE: f64 = 400.0;
/// The em that the pedal diagram is drawn to: its strokes are to be told apart at arm's length.
pub(crate) const DIAGRAM: f64 = 1.25 * SIZE;
/// SMuFL, plucked techniques: pluckedDamp and pluckedDampAll.
const DAMP: &str = "\u{E638}";
const DAMP_ALL: &str = "\u{E639}";
/// The em of muffle signs, as tall as a sharp beside the letters.
const SIGN: f64 = 900.0;

/// The lines of a beat's marks, the uppermost first.
pub(crate) fn lines(marks: &[HarpMark]) -> Vec<Line> {
    let mut lines = Vec::new();
    for mark in marks {
        match mark {
            HarpMark::MuffleAll => lines.push(Line::Text(vec![sign(DAMP_ALL)])),
            HarpMark::Muffle(strings) if strings.is_empty() => lines.push(Line::Text(vec![sign(DAMP)])),
            HarpMark::Muffle(strings) => {
                lines.push(Line::Text(vec![sign(DAMP), Run::new(format!(" {strings}"), Face::Regular, SIZE * 0.85)]))
            }
            HarpMark::Move(_) | HarpMark::Setting(_) => {}
        }
    }
    let mut names: Vec<&Name> = marks.iter().filter_map(|m| if let HarpMark::Move(name) = m { Some(name) } else { None }).collect();
    names.sort_by_key(|n| std::cmp::Reverse(n.height()));
    let (levers, pedals): (Vec<&Name>, Vec<&Name>) = names.into_iter().partition(|n| n.octave.is_some());
    lines.extend(levers.iter().map(|n| Line::Framed(vec![Run::new(n.words(), Face::Regular, SIZE)])));
    let (left, right): (Vec<&Name>, Vec<&Name>) = pedals.into_iter().partition(|n| n.is_left_foot());
    for foot in [right, left] {
        let mut foot = foot;
        foot.sort_by_key(|n| n.place_in_its_row());
        let words: Vec<String> = foot.iter().map(|n| n.words()).collect();
        if !words.is_empty() {
            lines.push(Line::Framed(vec![Run::new(words.join(" "), Face::Regular, SIZE)]));
        }
    }
    for mark in marks {
        if let HarpMark::Setting(alters) = mark {
            lines.push(Line::Diagram(*alters));
            lines.push(Line::Text(vec![Run::new(diagram::letters(alters), Face::Regular, SIZE * 0.8)]));
        }
    }
    lines
}

fn sign(code: &str) -> Run {
    Run::new(code, Face::Music, SIGN)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(marks: &[&str]) -> Vec<String> {
        let marks: Vec<HarpMark> = marks.iter().filter_map(|m| Name::read(m)).map(HarpMark::Move).collect();
        let text = |line: Line| match line {
            Line::Text(runs) | Line::Framed(runs) => runs.into_iter().map(|r| r.text).collect(),
            Line::Diagram(_) => String::new(),
        };
        lines(&marks).into_iter().map(text).collect()
    }

    /// Harp facts 1.5: right-foot pedals (E F G A) above left (D C B).
    #[test]
    fn right_foot_above_left_foot() {
        assert_eq!(words(&["C♯", "F♯", "A♭"]), ["F♯ A♭", "C♯"]);
        assert_eq!(words(&["B♭"]), ["B♭"]);
        assert_eq!(words(&["B♮", "C♮", "D♮", "A♮", "E♮"]), ["E♮ A♮", "D♮ C♮ B♮"]);
    }

    #[test]
    fn levers_stand_one_under_another_like_their_strings() {
        assert_eq!(words(&["F♯3", "C♯5", "F♯4"]), ["C♯5", "F♯4", "F♯3"]);
    }

    /// What is moved stands in a frame, what is muffled and how all pedals stand does not.
    #[test]
    fn only_moves_are_framed() {
        let moved = Name::read("F♯4").map(HarpMark::Move).expect("a lever");
        let framed: Vec<bool> = lines(&[moved, HarpMark::Muffle("C3".into()), HarpMark::Setting([0; 7])])
            .iter()
            .map(|line| matches!(line, Line::Framed(_)))
            .collect();
        assert_eq!(framed, [false, true, false, false]);
    }

    #[test]
    fn only_names_with_a_sign_are_strings_or_pedals() {
        assert!(["G7", "A", "dolce", "", "F♯42", "Dal", "é♯"].iter().all(|w| Name::read(w).is_none()));
        assert!(["F♯4", "B♮", "E♭", "F♯4 (2nd time)"].iter().all(|w| Name::read(w).is_some()));
        assert_eq!(words(&["F♯4 (2nd time)"]), ["F♯4 (2nd time)"]);
        assert!(Name::read("F♯4 (gently)").is_none());
    }
}
