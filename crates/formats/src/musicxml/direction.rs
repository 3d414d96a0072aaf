//! What stands above and below the staff: words, tempo marks, section letters, dynamics, and the signs that send the player elsewhere.

use super::element::{Element, child, child_text, children, is_hidden, text, whole};
use super::jumps::{Sign, sign_in_words};
use super::measure::Walked;
use super::remarks::Remarks;
use super::write::direction::CANNOT;
use super::{notations, tempo};
use crate::chord_text;
use crate::diagnostic::excerpt;
use music::{Beats, ChordSymbol, Decoration, Tempo};

/// The directions of one measure, sorted out.
#[derive(Default)]
pub struct Directions {
    pub tempos: Vec<PlacedTempo>,
    pub words: Vec<PlacedWords>,
    pub sections: Vec<(Beats, String)>,
    pub dynamics: Vec<(Beats, Decoration)>,
    pub signs: Vec<(Beats, Sign)>,
    /// Chord symbols written as words, as they are written.
    pub symbols: Vec<(Beats, ChordSymbol)>,
}

/// A tempo and where it comes from; what is printed wins over what is only played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlacedTempo {
    pub at: Beats,
    pub tempo: Tempo,
    pub origin: Origin,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    Printed,
    Played,
}

/// Words above or below the staff.
pub struct PlacedWords {
    pub at: Beats,
    pub text: String,
    pub bond: Bond,
}

/// What ties words to the tempo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bond {
    /// They stand in one direction with a tempo mark or a playing tempo.
    Tempo,
    /// They stand above the staff.
    Above,
    None,
}

impl PlacedWords {
    fn new(at: Beats, text: String, element: Element, tempo: Option<Tempo>) -> PlacedWords {
        let bond = match (tempo, element.attribute("placement")) {
            (Some(_), _) => Bond::Tempo,
            (None, Some("above")) => Bond::Above,
            _ => Bond::None,
        };
        PlacedWords { at, text, bond }
    }
}

/// Which directions of a part are wanted.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// All of the melody's staff.
    Staff(u32),
    /// Only what holds for the whole score: tempo, sections, signs. For the top part above another part's melody.
    WholeScore,
}

/// Reads a measure's directions.
pub fn read(measure: &Walked, scope: Scope, remarks: &mut Remarks) -> Directions {
    let mut found = Directions::default();
    for (at, element) in &measure.directions {
        if element.has_tag_name("sound") {
            found.sound(*at, *element);
        } else {
            found.direction(*at, *element, scope, remarks);
        }
    }
    for (at, barline) in &measure.barlines {
        if child(*barline, "segno").is_some() {
            found.signs.push((*at, Sign::DrawnSegno));
        }
        if child(*barline, "coda").is_some() {
            found.signs.push((*at, Sign::DrawnCoda));
        }
    }
    found
}

/// Words that can only be a chord symbol: "N.C.", or a chord with a seventh, ninth or the like in one word. A bare letter may be a section's.
fn symbol_in_words(words: &str) -> Option<ChordSymbol> {
    let telling = ["6", "7", "9", "11", "13", "sus", "maj"].iter().any(|t| words.contains(t));
    let chord = telling && words.starts_with(|c: char| ('A'..='G').contains(&c)) && !words.contains(char::is_whitespace);
    let letters: String = words.chars().filter(|c| c.is_alphabetic()).collect();
    if !chord && letters != "NC" {
        return None;
    }
    let mut symbols = chord_text::parse(words).ok()?.symbols;
    symbols.pop().filter(|_| symbols.is_empty())
}

impl Directions {
    fn direction(&mut self, at: Beats, element: Element, scope: Scope, remarks: &mut Remarks) {
        let staff = child_text(element, "staff").and_then(|t| whole(&t));
        let here = matches!(scope, Scope::Staff(wanted) if staff.is_none_or(|s| s == i64::from(wanted)));
        let printed = tempo::printed(element, remarks);
        let played = child(element, "sound").and_then(tempo::played);
        let tempo = printed.or(played);
        let origin = if printed.is_some() { Origin::Printed } else { Origin::Played };
        self.tempos.extend(tempo.map(|tempo| PlacedTempo { at, tempo, origin }));
        let mut signs = Vec::new();
        let mut words = Vec::new();
        for kind in children(element, "direction-type").flat_map(|d| d.children().filter(|c| c.is_element())) {
            match kind.tag_name().name() {
                // What cannot be played depends on the harp and is found anew.
                "words" if text(kind) == CANNOT => {}
                "words" => words.push(text(kind)),
                "segno" => signs.push(Sign::DrawnSegno),
                "coda" => signs.push(Sign::DrawnCoda),
                "rehearsal" => self.sections.push((at, text(kind))),
                "dynamics" if here => self.dynamics.extend(notations::dynamics(kind).into_iter().map(|d| (at, d))),
                "metronome" | "octave-shift" | "dynamics" | "image" | "staff-divide" | "bracket" => {}
                name if here && !matches!(kind.attribute("type"), Some("stop" | "continue")) => {
                    remarks.note(kind, format!("the direction \"{}\" is left out", excerpt(name)), "");
                }
                _ => {}
            }
        }
        let joined = words.join(" ").trim().to_owned();
        if let Some(sign) = sign_in_words(&joined) {
            signs = vec![sign];
        } else if !joined.is_empty() && !is_hidden(element) && (here || tempo.is_some()) {
            self.put_words(PlacedWords::new(at, joined, element, tempo), element, remarks);
        }
        if let Some(sound) = child(element, "sound") {
            let sounding = super::jumps::signs_in_sound(sound);
            if !sounding.is_empty() {
                signs = sounding;
            }
        }
        self.signs.extend(signs.into_iter().map(|s| (at, s)));
    }

    /// Words that are a chord symbol go with the chord symbols.
    fn put_words(&mut self, words: PlacedWords, element: Element, remarks: &mut Remarks) {
        match symbol_in_words(&words.text) {
            Some(symbol) => {
                remarks.note(element, format!("the words \"{}\" are taken as a chord symbol", excerpt(&words.text)), "");
                self.symbols.push((words.at, symbol));
            }
            None => self.words.push(words),
        }
    }

    /// A `sound` element that stands alone.
    fn sound(&mut self, at: Beats, element: Element) {
        self.tempos.extend(tempo::played(element).map(|tempo| PlacedTempo { at, tempo, origin: Origin::Played }));
        self.signs.extend(super::jumps::signs_in_sound(element).into_iter().map(|s| (at, s)));
    }

    /// Takes from the top part what this measure has nothing of its own for.
    pub fn take_missing(&mut self, top: Directions) {
        fn fill<T>(own: &mut Vec<T>, other: Vec<T>) {
            if own.is_empty() {
                *own = other;
            }
        }
        fill(&mut self.tempos, top.tempos);
        fill(&mut self.sections, top.sections);
        fill(&mut self.signs, top.signs);
        fill(&mut self.words, top.words);
    }
}
