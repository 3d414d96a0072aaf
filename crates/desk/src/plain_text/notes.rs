//! The notes of one hand in one measure, in words: what comes one after another has commas between.
//!
//! A length is said when it changes, and holds until another is; a beat is said where something begins after a rest. Grace notes stand before their note, tuplets are opened
//! and closed, and what belongs to a note follows it. The reader of the same is `read_notes`.

use super::lengths::{fraction, place, values};
use super::pitches::pitch;
use super::tokens::quote;
use music::{Beats, Bracket, Decoration, Grace, Meter, Note, Pitch, Tuplet, TupletEdge};

/// A rest that fills its measure.
pub const REST: &str = "rest all measure";
/// A hand of which nothing is written.
pub const NOTHING: &str = "nothing";

/// Words for the decorations that have no text of their own.
pub const DECORATIONS: [(Decoration, &str); 13] = [
    (Decoration::Fermata, "fermata"),
    (Decoration::Breath, "breath after"),
    (Decoration::Staccato, "staccato"),
    (Decoration::Tenuto, "tenuto"),
    (Decoration::Accent, "accent"),
    (Decoration::Marcato, "strong accent"),
    (Decoration::Trill, "trill"),
    (Decoration::Turn, "turn"),
    (Decoration::InvertedMordent, "inverted mordent"),
    (Decoration::Mordent, "mordent"),
    (Decoration::UpBow, "up bow"),
    (Decoration::DownBow, "down bow"),
    (Decoration::Arpeggio, "spread"),
];

/// A measure as the words need it.
#[derive(Clone, Copy, Debug)]
pub struct Room<'a> {
    pub meter: &'a Meter,
    pub length: Beats,
}

/// What is said of one hand.
pub fn notes(notes: &[Note], room: Room) -> String {
    let rest = Note::rest(Beats::ZERO, room.length);
    match notes {
        [] => return NOTHING.into(),
        [only] if *only == rest => return REST.into(),
        _ => {}
    }
    let mut saying = Saying { meter: room.meter, length: None, tuplet: None, now: Beats::ZERO, after_rest: false };
    let mut said = Vec::new();
    for note in notes {
        said.extend(note.grace.iter().map(|grace| grace_note(grace, &note.unplayable)));
        said.push(saying.note(note));
    }
    said.join(", ")
}

/// What was said before in the same measure.
struct Saying<'a> {
    meter: &'a Meter,
    length: Option<String>,
    tuplet: Option<(u32, u32)>,
    now: Beats,
    after_rest: bool,
}

impl Saying<'_> {
    fn note(&mut self, note: &Note) -> String {
        let mut words: Vec<String> = Vec::new();
        if note.at != self.now || (self.after_rest && !note.is_rest()) {
            words.push(format!("{}:", place(self.meter, note.at)));
            self.length = None;
        }
        words.extend(self.group(note));
        let length = length(note);
        if self.length.as_ref() != Some(&length) {
            words.push(length.clone());
            self.length = Some(length);
        }
        words.extend(note.tie.from_before.then(|| "still".to_owned()));
        words.extend(note.rolled.then(|| "rolled".to_owned()));
        words.push(if note.is_rest() { "rest".into() } else { strings(note) });
        words.extend(after(note));
        if let Some(Tuplet { edge: TupletEdge::Stop, .. }) = note.tuplet {
            words.push(format!("end {}", if self.tuplet == Some((3, 2)) { "triplet" } else { "group" }));
            (self.tuplet, self.length) = (None, None);
        }
        (self.now, self.after_rest) = (note.end(), note.is_rest());
        words.join(" ")
    }

    /// Words for a tuplet that begins, goes on without having begun here, or is over without an end.
    fn group(&mut self, note: &Note) -> Option<String> {
        let ratio = note.tuplet.map(|t| (t.actual, t.normal));
        let begins = note.tuplet.is_some_and(|t| t.edge == TupletEdge::Start);
        if !begins && ratio == self.tuplet {
            return None;
        }
        (self.tuplet, self.length) = (ratio, None);
        let goes_on = if begins { "" } else { " goes on" };
        Some(match ratio {
            None => "no group".to_owned(),
            Some((3, 2)) => format!("triplet{goes_on}"),
            Some((actual, normal)) => format!("group of {actual} in {normal}{goes_on}"),
        })
    }
}

/// The note value that is written, or the true length where none is.
fn length(note: &Note) -> String {
    let written = match note.tuplet {
        None => Some(note.length),
        Some(t) => note.length.scaled(i64::from(t.actual), i64::from(t.normal)),
    };
    // A value that a tuplet does not shorten to this very length would say another one.
    let back = |written: &Beats| match note.tuplet {
        None => true,
        Some(t) => written.scaled(i64::from(t.normal), i64::from(t.actual)) == Some(note.length),
    };
    written.filter(back).and_then(values).unwrap_or_else(|| fraction(note.length))
}

fn strings(note: &Note) -> String {
    let string = |(i, p): (usize, &Pitch)| {
        let unplayable = if note.unplayable.contains(p) { " unplayable" } else { "" };
        let finger = note.fingers.get(i).map(|f| format!(" finger {f}")).unwrap_or_default();
        format!("{}{unplayable}{finger}", pitch(*p))
    };
    note.pitches.iter().enumerate().map(string).collect::<Vec<_>>().join(" and ")
}

/// What follows a note.
fn after(note: &Note) -> Vec<String> {
    let mut words = Vec::new();
    words.extend(note.tie.to_next.then(|| "tied on".to_owned()));
    words.extend(note.decorations.iter().map(decoration));
    words.extend((0..note.slurs_stop).map(|_| "slur ends".to_owned()));
    words.extend((0..note.slurs_start).map(|_| "slur begins".to_owned()));
    words.extend(match note.bracket {
        Bracket::None => None,
        Bracket::Begins => Some("place".to_owned()),
        Bracket::Ends => Some("placed".to_owned()),
    });
    words
}

fn decoration(decoration: &Decoration) -> String {
    match decoration {
        Decoration::Dynamic(text) => format!("dynamic {}", quote(text)),
        Decoration::Other(text) => format!("sign {}", quote(text)),
        named => DECORATIONS.iter().find(|(d, _)| d == named).map(|(_, words)| (*words).to_owned()).unwrap_or_default(),
    }
}

fn grace_note(grace: &Grace, unplayable: &[Pitch]) -> String {
    let slashed = if grace.slashed { "short " } else { "" };
    let value = i64::from(grace.value.max(1));
    let value = Beats::whole(1, value).map_or_else(|| format!("1 over {value} of a whole"), super::lengths::length);
    let told = Note { pitches: grace.pitches.clone(), unplayable: unplayable.to_vec(), ..Note::default() };
    format!("{slashed}grace {value} {}", strings(&told))
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text;

    fn said(line: &str) -> String {
        let meter = Meter::simple(4, 4);
        notes(&text::notes(line), Room { meter: &meter, length: Beats::WHOLE })
    }

    #[test]
    fn a_hand_is_told_note_by_note() {
        assert_eq!(said("C4:1 D4:1 E4:2"), "quarter C4, D4, half E4");
        assert_eq!(said("r:1 [C3+G3]:1 r:1 F#3:1/2 G3:1/2"), "quarter rest, beat 2: quarter C3 and G3, rest, beat 4: eighth F-sharp 3, G3");
        assert_eq!(said("~[C3+E3+G3]:4"), "whole rolled C3 and E3 and G3");
        assert_eq!(said("r:4"), "rest all measure");
        assert_eq!(said("r:2 r:3/2 Ab4:1/2"), "half rest, dotted quarter rest, beat 4 plus eighth: eighth A-flat 4");
    }

    #[test]
    fn what_belongs_to_a_note_follows_it() {
        let meter = Meter::simple(2, 4);
        let mut line = text::notes("[C3+G3]:1 A4:1");
        line[0].fingers = vec![4, 1];
        line[0].tie.to_next = true;
        line[1].tie.from_before = true;
        line[1].decorations = vec![Decoration::Fermata, Decoration::Dynamic("mf".into())];
        line[1].grace = vec![Grace { pitches: vec![Pitch::parse("B4").expect("a pitch")], value: 16, slashed: true }];
        let said = notes(&line, Room { meter: &meter, length: Beats::HALF });
        assert_eq!(said, "quarter C3 finger 4 and G3 finger 1 tied on, short grace sixteenth B4, still A4 fermata dynamic \"mf\"");
    }

    /// Common practice: three triplet eighths take the time of a quarter.
    #[test]
    fn triplets_are_opened_and_closed() {
        let third = Beats::quarters(1, 3).expect("exact");
        let edges = [TupletEdge::Start, TupletEdge::Inside, TupletEdge::Stop];
        let note = |(i, edge): (i64, TupletEdge)| Note {
            tuplet: Some(Tuplet { actual: 3, normal: 2, edge }),
            ..Note::of(third * i, third, vec![Pitch::parse("C4").expect("a pitch")])
        };
        let mut line: Vec<Note> = (0..).zip(edges).map(note).collect();
        line.push(Note::of(Beats::QUARTER, Beats::EIGHTH, vec![Pitch::parse("D4").expect("a pitch")]));
        let meter = Meter::simple(2, 4);
        assert_eq!(notes(&line, Room { meter: &meter, length: Beats::HALF }), "triplet eighth C4, C4, C4 end triplet, eighth D4");
    }
}
