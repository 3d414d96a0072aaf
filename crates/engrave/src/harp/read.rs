//! The fingers, brackets and marks of a score for one player, with their places in time.
//!
//! Only scores of one part on one or two staves are read so; others keep what the engraving library makes of theirs.

use super::Side;
use super::column::{HarpMark, Name};
use crate::source::{child, text};
use roxmltree::Node;
use std::collections::{BTreeMap, BTreeSet};

/// Everything to be set outside the staves.
#[derive(Debug, Default)]
pub(crate) struct HarpMarks {
    /// One for each measure.
    pub measures: Vec<Measure>,
    /// The setting before the first note: alterations from C to B.
    pub opening: Option<[i32; 7]>,
    /// Elements that the engraving library is not to see, by [`number_of`].
    pub taken: BTreeSet<usize>,
    /// The id of every note, invented where the score gives none.
    pub ids: BTreeMap<usize, String>,
}

#[derive(Debug, Default)]
pub(crate) struct Measure {
    /// In quarters.
    pub length: f64,
    /// Notes and rests with their places in quarters; no grace notes, no rests that fill the measure.
    pub onsets: Vec<(f64, String)>,
    pub fingers: Vec<Fingers>,
    pub brackets: Vec<Bracket>,
    pub crosses: Vec<Cross>,
    pub marks: Vec<(f64, Side, HarpMark)>,
}

/// The fingers of one chord, for the highest string first.
#[derive(Debug)]
pub(crate) struct Fingers {
    pub side: Side,
    pub notes: Vec<String>,
    pub words: Vec<String>,
}

/// The sign at notes of one chord that cannot be played.
#[derive(Debug)]
pub(crate) struct Cross {
    pub side: Side,
    /// Their ids.
    pub notes: Vec<String>,
    /// Their names, where the chord has others.
    pub names: Vec<String>,
}

/// The sign as it is written in the score.
const CANNOT: &str = "×";

/// One end of a bracket.
#[derive(Debug)]
pub(crate) struct Bracket {
    pub at: f64,
    pub side: Side,
    pub end: End,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    Start,
    Stop,
}

pub(crate) fn read(root: Node) -> HarpMarks {
    let mut marks = HarpMarks::default();
    let mut parts = root.children().filter(|n| n.has_tag_name("part"));
    let (Some(part), None) = (parts.next(), parts.next()) else { return marks };
    let staves = part.descendants().filter(|n| n.has_tag_name("staves")).filter_map(|n| text(n).parse().ok()).max().unwrap_or(1);
    if staves > 2 {
        return marks;
    }
    for (count, note) in part.descendants().filter(|n| n.has_tag_name("note")).enumerate() {
        marks.ids.insert(number_of(note), note.attribute("id").map_or_else(|| format!("note-{count}"), str::to_owned));
    }
    let mut walk =
        Walk { marks, staves, divisions: 1.0, at: 0.0, last: 0.0, chord: None, measure: Measure::default(), crosses: Vec::new() };
    for measure in part.children().filter(|n| n.has_tag_name("measure")) {
        walk.measure(measure);
    }
    walk.marks
}

/// The chord being read.
struct Chord {
    side: Side,
    notes: Vec<String>,
    /// With the heights of their strings.
    fingers: Vec<(i32, String)>,
    /// Height, id and name of each that cannot be played.
    crossed: Vec<(i32, String, String)>,
}

/// On the way through the part.
struct Walk {
    marks: HarpMarks,
    staves: u32,
    /// In a quarter.
    divisions: f64,
    /// Where the next note begins, and where the last one did, in quarters.
    at: f64,
    last: f64,
    chord: Option<Chord>,
    measure: Measure,
    /// Where the sign of notes that cannot be played stands in this measure.
    crosses: Vec<(f64, Side)>,
}

impl Walk {
    fn measure(&mut self, node: Node) {
        (self.at, self.last) = (0.0, 0.0);
        self.crosses.clear();
        for child in node.children().filter(Node::is_element) {
            match child.tag_name().name() {
                "attributes" => self.divisions = number(child, "divisions").filter(|d| *d > 0.0).unwrap_or(self.divisions),
                "backup" => self.at = (self.at - self.duration(child)).max(0.0),
                "forward" => self.at += self.duration(child),
                "note" => self.note(child),
                "direction" => self.direction(child),
                _ => {}
            }
            self.measure.length = self.measure.length.max(self.at);
        }
        self.close_chord();
        let measure = std::mem::take(&mut self.measure);
        self.marks.measures.push(measure);
    }

    fn duration(&self, node: Node) -> f64 {
        number(node, "duration").unwrap_or(0.0) / self.divisions
    }

    fn note(&mut self, note: Node) {
        let has = |name: &str| child(note, name).is_some();
        let id = self.marks.ids.get(&number_of(note)).cloned().unwrap_or_default();
        if !has("chord") {
            self.close_chord();
            self.last = self.at;
            self.at += self.duration(note);
            self.chord = Some(Chord { side: self.outer_side(note), notes: Vec::new(), fingers: Vec::new(), crossed: Vec::new() });
            let fills = child(note, "rest").is_some_and(|r| r.attribute("measure") == Some("yes"));
            if !has("grace") && !fills {
                self.measure.onsets.push((self.last, id.clone()));
            }
        }
        let fingerings: Vec<Node> = note.descendants().filter(|n| n.has_tag_name("fingering")).collect();
        self.marks.taken.extend(fingerings.iter().map(|f| number_of(*f)));
        let crossed = self.crossed(note);
        let Some(chord) = &mut self.chord else { return };
        chord.crossed.extend(crossed.map(|name| (height(note), id.clone(), name)));
        chord.notes.push(id);
        chord.fingers.extend(fingerings.into_iter().map(|f| (height(note), text(f))).filter(|(_, word)| !word.is_empty()));
    }

    fn close_chord(&mut self) {
        let Some(mut chord) = self.chord.take() else { return };
        if !chord.crossed.is_empty() {
            chord.crossed.sort_by_key(|c| std::cmp::Reverse(c.0));
            let alone = chord.notes.len() == chord.crossed.len();
            let names = chord.crossed.iter().map(|c| c.2.clone()).filter(|_| !alone).collect();
            let notes = chord.crossed.into_iter().map(|c| c.1).collect();
            self.measure.crosses.push(Cross { side: chord.side, notes, names });
        }
        if chord.fingers.is_empty() {
            return;
        }
        chord.fingers.sort_by_key(|f| std::cmp::Reverse(f.0));
        let words = chord.fingers.into_iter().map(|f| f.1).collect();
        self.measure.fingers.push(Fingers { side: chord.side, notes: chord.notes, words });
    }

    /// The name of a note in parentheses at whose place the sign stands; the sign is all that is drawn of them.
    fn crossed(&mut self, note: Node) -> Option<String> {
        let side = self.outer_side(note);
        let head = child(note, "notehead").filter(|h| h.attribute("parentheses") == Some("yes"))?;
        if !self.crosses.iter().any(|(at, own)| *own == side && (at - self.last).abs() < 1e-6) {
            return None;
        }
        self.marks.taken.insert(number_of(head));
        let pitch = child(note, "pitch")?;
        let sign = number(pitch, "alter").map_or("", |alter| {
            if alter < 0.0 {
                "♭"
            } else if alter > 0.0 {
                "♯"
            } else {
                ""
            }
        });
        Some(format!("{}{sign}{}", child(pitch, "step").map(text)?, child(pitch, "octave").map(text)?))
    }

    /// The upper staff's side is above, the lower one's below; a lone staff's is what the score says.
    fn outer_side(&self, note: Node) -> Side {
        let said = note.descendants().find(|n| n.has_tag_name("fingering")).and_then(|f| f.attribute("placement"));
        match (self.staves, number(note, "staff")) {
            (2, Some(staff)) if staff > 1.0 => Side::Below,
            (2, _) => Side::Above,
            _ if said == Some("below") => Side::Below,
            _ => Side::Above,
        }
    }

    fn direction(&mut self, node: Node) {
        let at = self.at + number(node, "offset").unwrap_or(0.0) / self.divisions;
        let kinds: Vec<Node> =
            node.children().filter(|n| n.has_tag_name("direction-type")).flat_map(|d| d.children().filter(Node::is_element)).collect();
        let below = node.attribute("placement") == Some("below") || number(node, "staff").is_some_and(|s| s > 1.0);
        let side = if below { Side::Below } else { Side::Above };
        let names: Vec<&str> = kinds.iter().map(|k| k.tag_name().name()).collect();
        let marks: Vec<HarpMark> = match (names.as_slice(), kinds.as_slice()) {
            (["bracket"], [bracket]) => return self.bracket(node, *bracket, at, side),
            (["damp-all"], _) => vec![HarpMark::MuffleAll],
            (["damp"], _) => vec![HarpMark::Muffle(String::new())],
            (["damp", "words"], [_, words]) => vec![HarpMark::Muffle(text(*words))],
            (["harp-pedals"], [diagram]) => pedals(*diagram),
            (["words"], [words]) if text(*words) == CANNOT => {
                self.marks.taken.insert(number_of(node));
                return self.crosses.push((at, side));
            }
            (["words"], [words]) => Name::read(&text(*words)).map(HarpMark::Move).into_iter().collect(),
            _ => Vec::new(),
        };
        if marks.is_empty() {
            return;
        }
        self.marks.taken.insert(number_of(node));
        for mark in marks {
            match mark {
                HarpMark::Setting(alters) if self.marks.measures.is_empty() && at < 0.01 => self.marks.opening = Some(alters),
                mark => self.measure.marks.push((at, side, mark)),
            }
        }
    }

    fn bracket(&mut self, direction: Node, bracket: Node, at: f64, side: Side) {
        let end = match bracket.attribute("type") {
            Some("start") => End::Start,
            Some("stop") => End::Stop,
            _ => return,
        };
        self.marks.taken.insert(number_of(direction));
        self.measure.brackets.push(Bracket { at, side, end });
    }
}

/// What an element is called by in [`HarpMarks`].
pub(crate) fn number_of(node: Node) -> usize {
    node.id().get_usize()
}

fn number(node: Node, name: &str) -> Option<f64> {
    child(node, name).and_then(|n| text(n).parse().ok()).filter(|v: &f64| v.is_finite())
}

/// How high a note's string is, by letter and octave.
fn height(note: Node) -> i32 {
    let Some(pitch) = child(note, "pitch") else { return 0 };
    let step = child(pitch, "step").map(text).unwrap_or_default();
    let letter = "CDEFGAB".find(step.chars().next().unwrap_or('C')).unwrap_or(0) as i32;
    number(pitch, "octave").unwrap_or(0.0) as i32 * 7 + letter
}

/// A full setting where all seven pedals are given, else one move for each.
fn pedals(diagram: Node) -> Vec<HarpMark> {
    let mut given: BTreeMap<usize, i32> = BTreeMap::new();
    for tuning in diagram.children().filter(|n| n.has_tag_name("pedal-tuning")) {
        let step = child(tuning, "pedal-step").map(text).and_then(|t| "CDEFGAB".find(t.chars().next()?));
        let alter = number(tuning, "pedal-alter").unwrap_or(0.0).round().clamp(-1.0, 1.0) as i32;
        given.extend(step.map(|s| (s, alter)));
    }
    let all: Vec<i32> = given.values().copied().collect();
    match <[i32; 7]>::try_from(all) {
        Ok(all) => vec![HarpMark::Setting(all)],
        Err(_) => given.into_iter().map(|(step, alter)| HarpMark::Move(Name::pedal(step, alter))).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(staves: u32, inside: &str) -> HarpMarks {
        let xml = format!(
            "<score-partwise><part><measure><attributes><divisions>2</divisions><staves>{staves}</staves></attributes>{inside}</measure></part></score-partwise>"
        );
        read(roxmltree::Document::parse(&xml).expect("the test's XML").root_element())
    }

    fn note(pitch: &str, staff: u32, more: &str) -> String {
        let (step, octave) = pitch.split_at(1);
        format!(
            "<note>{more}<pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>2</duration><staff>{staff}</staff></note>"
        )
    }

    fn fingered(finger: u8) -> String {
        format!("<notations><technical><fingering>{finger}</fingering></technical></notations>")
    }

    #[test]
    fn marks_have_their_beats_and_sides() {
        let lever = "<direction placement='below'><direction-type><words>F♯4</words></direction-type><offset>1</offset><staff>2</staff></direction>";
        let damp = "<direction placement='above'><direction-type><damp/></direction-type><staff>1</staff></direction>";
        let words = "<direction><direction-type><words>dolce</words></direction-type></direction>";
        let back = "<backup><duration>4</duration></backup>";
        let marks = part(
            2,
            &format!("{}{damp}{words}{}{back}{}{lever}{}", note("C5", 1, ""), note("D5", 1, ""), note("C3", 2, ""), note("D3", 2, "")),
        );
        let measure = &marks.measures[0];
        let lever = Name::read("F♯4").expect("a lever");
        assert_eq!(measure.marks, [(1.0, Side::Above, HarpMark::Muffle(String::new())), (1.5, Side::Below, HarpMark::Move(lever))]);
        assert_eq!(measure.onsets.iter().map(|o| o.0).collect::<Vec<_>>(), [0.0, 1.0, 0.0, 1.0]);
        assert_eq!((measure.length, marks.taken.len()), (2.0, 2));
    }

    #[test]
    fn the_highest_strings_finger_comes_first() {
        let low = note("C4", 1, &fingered(3));
        let marks = part(2, &format!("{low}{}", note("G4", 1, &format!("<chord/>{}", fingered(1)))));
        let fingers = &marks.measures[0].fingers[0];
        assert_eq!((fingers.words.join(""), fingers.side, fingers.notes.len()), ("13".to_owned(), Side::Above, 2));
    }

    #[test]
    fn a_score_for_several_players_is_left_as_it_is() {
        assert!(part(3, &note("C4", 1, &fingered(1))).taken.is_empty());
        let two = "<score-partwise><part><measure/></part><part><measure/></part></score-partwise>";
        assert!(read(roxmltree::Document::parse(two).expect("the test's XML").root_element()).measures.is_empty());
    }
}
