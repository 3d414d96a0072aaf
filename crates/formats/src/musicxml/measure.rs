//! Walks through one measure of a part: the cursor of `note`, `backup` and `forward`, and what stands where.
//!
//! Nothing is chosen here: all staves and voices come out, so that a reader of two staves can start from the same walk.

use super::attributes::Attributes;
use super::document::MeasureSource;
use super::element::{Element, child, child_text, decimal, has, text, whole};
use super::remarks::Remarks;
use crate::diagnostic::excerpt;
use music::{Beats, Interval, Key};

/// The longest measure that is walked through, in quarter notes; what lies beyond is left out and said so.
const LONGEST_WALK: i64 = 256;
/// The most notes, and the most of each other thing, that are taken in one measure.
const MOST_ON_WALK: usize = 2_000;
/// The most notes of one chord.
const MOST_TOGETHER: usize = 64;
/// The most changes of key, meter or transposition inside one measure.
const MOST_CHANGES: usize = 16;

/// One measure as it is written, every staff and voice.
pub struct Walked<'a> {
    pub source: MeasureSource<'a>,
    /// How far any voice reaches.
    pub extent: Beats,
    pub notes: Vec<PlacedNote<'a>>,
    pub harmonies: Vec<PlacedHarmony<'a>>,
    /// `direction` elements and `sound` elements that stand alone.
    pub directions: Vec<(Beats, Element<'a>)>,
    pub barlines: Vec<(Beats, Element<'a>)>,
    /// What holds at the start of the measure, and what is changed inside it.
    pub attributes: Attributes,
    pub changes: Vec<(Beats, Attributes)>,
}

/// A note with the chord notes written after it, at its place.
pub struct PlacedNote<'a> {
    pub at: Beats,
    pub length: Beats,
    pub staff: u32,
    pub voice: &'a str,
    /// The note itself first, then its chord notes.
    pub members: Vec<Element<'a>>,
    pub grace: bool,
    /// From written to sounding pitch.
    pub transposition: Interval,
}

pub struct PlacedHarmony<'a> {
    pub at: Beats,
    pub element: Element<'a>,
    pub key: Key,
    pub transposition: Interval,
}

impl PlacedNote<'_> {
    pub fn end(&self) -> Beats {
        self.at + self.length
    }

    pub fn is_pitched(&self) -> bool {
        has(self.members[0], "pitch")
    }

    pub fn is_rest(&self) -> bool {
        has(self.members[0], "rest")
    }
}

/// What carries over from measure to measure of one part.
pub struct Walker {
    /// Divisions of a quarter note, as a decimal fraction.
    divisions: (i64, i64),
    attributes: Attributes,
}

impl Walker {
    pub fn new() -> Walker {
        Walker { divisions: (1, 1), attributes: Attributes::new() }
    }

    /// Reads one measure; the walker then stands at the next.
    pub fn walk<'a>(&mut self, source: MeasureSource<'a>, remarks: &mut Remarks) -> Walked<'a> {
        let attributes = self.attributes.clone();
        let mut walk = Walk { walker: self, cursor: Beats::ZERO, remarks, measure: empty(source, attributes) };
        for element in source.content.children().filter(|c| c.is_element()) {
            walk.take(element);
        }
        walk.measure
    }

    /// A length in divisions, as beats.
    fn beats(&self, amount: (i64, i64)) -> (Beats, Exactness) {
        let (above, below) = (amount.0.saturating_mul(self.divisions.1), amount.1.saturating_mul(self.divisions.0));
        match Beats::quarters(above, below) {
            Some(beats) => (beats, Exactness::Exact),
            None => (Beats::nearest_quarters(above, below), Exactness::Nearest),
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Exactness {
    Exact,
    Nearest,
}

fn empty<'a>(source: MeasureSource<'a>, attributes: Attributes) -> Walked<'a> {
    Walked {
        source,
        extent: Beats::ZERO,
        notes: Vec::new(),
        harmonies: Vec::new(),
        directions: Vec::new(),
        barlines: Vec::new(),
        attributes,
        changes: Vec::new(),
    }
}

struct Walk<'a, 'w, 'r> {
    walker: &'w mut Walker,
    cursor: Beats,
    remarks: &'w mut Remarks<'r>,
    measure: Walked<'a>,
}

impl<'a> Walk<'a, '_, '_> {
    fn take(&mut self, element: Element<'a>) {
        let measure = &self.measure;
        let fullest = [measure.notes.len(), measure.harmonies.len(), measure.directions.len(), measure.barlines.len()];
        if fullest.into_iter().max() >= Some(MOST_ON_WALK) {
            self.remarks.warn(measure.source.measure, format!("a measure with more than {MOST_ON_WALK} notes or signs is cut off"), "");
            return;
        }
        match element.tag_name().name() {
            "note" => self.note(element),
            "backup" => {
                let length = self.duration(element);
                if length > self.cursor {
                    self.remarks.warn(element, "a backup to before the measure, taken as to its start", "");
                }
                self.cursor = (self.cursor - length).max(Beats::ZERO);
            }
            "forward" => {
                let length = self.duration(element);
                self.advance(length, element);
            }
            "attributes" => self.attributes(element),
            "harmony" => self.harmony(element),
            "direction" | "sound" => {
                let at = self.cursor + self.offset(element);
                self.measure.directions.push((at.max(Beats::ZERO), element));
            }
            "barline" => self.measure.barlines.push((self.cursor, element)),
            "figured-bass" => self.remarks.note(element, "figured bass is left out", ""),
            "print" | "bookmark" | "link" | "grouping" | "listening" => {}
            other => self.remarks.warn(element, format!("<{}> is no element of a measure and is left out", excerpt(other)), ""),
        }
    }

    fn note(&mut self, element: Element<'a>) {
        let grace = has(element, "grace");
        if has(element, "chord") {
            match self.measure.notes.last_mut().filter(|n| n.grace == grace) {
                Some(last) if last.members.len() >= MOST_TOGETHER => {
                    return self.remarks.warn(element, format!("of more than {MOST_TOGETHER} notes in one chord the first are kept"), "");
                }
                Some(last) => return last.members.push(element),
                None => self.remarks.warn(element, "a chord note without a note before it, taken as a note of its own", ""),
            }
        }
        let at = self.cursor;
        if !grace {
            let length = self.note_length(element);
            self.advance(length, element);
        }
        let staff = child_text(element, "staff").and_then(|t| whole(&t)).unwrap_or(1).clamp(1, 1000) as u32;
        let voice = child(element, "voice").and_then(|v| v.text()).map_or("1", str::trim);
        let transposition = self.walker.attributes.transposition(staff);
        let length = self.cursor - at;
        self.measure.notes.push(PlacedNote { at, length, staff, voice, members: vec![element], grace, transposition });
    }

    /// The duration; without one, what the note's face says. A rest of a whole measure is never longer than its meter.
    fn note_length(&mut self, element: Element<'a>) -> Beats {
        if !has(element, "duration") {
            let face = super::note::face_value(element);
            if face.is_none() {
                self.remarks.warn(element, "a note without a duration is left out", "");
            }
            return face.unwrap_or(Beats::ZERO);
        }
        let length = self.duration(element);
        let whole_rest = child(element, "rest").is_some_and(|r| super::element::says_yes(r, "measure"));
        let meter = self.walker.attributes.given_meter(1).filter(|m| whole_rest && !super::attributes::is_free(m));
        meter.map_or(length, |m| length.min(m.length()))
    }

    fn duration(&mut self, element: Element<'a>) -> Beats {
        let amount = child(element, "duration").map(text).and_then(|t| decimal(&t)).filter(|(n, _)| *n >= 0);
        let Some(amount) = amount else {
            self.remarks.warn(element, "a duration that is no number, taken as nothing", "");
            return Beats::ZERO;
        };
        let (beats, exactness) = self.walker.beats(amount);
        if exactness == Exactness::Nearest {
            if let Some(face) = super::note::face_value(element) {
                return face;
            }
            self.remarks.warn(element, "a duration that fits no note value is taken as the nearest that does", "");
        }
        self.unrounded(element, beats)
    }

    /// A tuplet's note that whole divisions could not hold: its face says the length, where that is less than one division away.
    fn unrounded(&mut self, element: Element<'a>, beats: Beats) -> Beats {
        let face = super::note::face_value(element).filter(|_| has(element, "time-modification"));
        let division = self.walker.beats((1, 1)).0;
        match face.filter(|f| *f != beats && (*f - beats).abs() < division) {
            Some(face) => {
                self.remarks.note(element, "the length of a tuplet's note, rounded in the file, is taken from its face", "");
                face
            }
            None => beats,
        }
    }

    fn advance(&mut self, length: Beats, element: Element<'a>) {
        let most = Beats::QUARTER * LONGEST_WALK;
        if length > most - self.cursor {
            self.remarks.warn(element, format!("a measure longer than {LONGEST_WALK} quarter notes is cut off"), "");
        }
        self.cursor = if length > most - self.cursor { most } else { self.cursor + length };
        self.measure.extent = self.measure.extent.max(self.cursor);
    }

    fn attributes(&mut self, element: Element<'a>) {
        if let Some(divisions) = child(element, "divisions") {
            match decimal(&text(divisions)).filter(|(n, _)| *n > 0) {
                Some(value) => self.walker.divisions = value,
                None => self.remarks.warn(divisions, "divisions that are no number above 0 are left out", ""),
            }
        }
        self.walker.attributes.change(element, self.remarks);
        let now = self.walker.attributes.clone();
        if self.cursor.is_zero() {
            self.measure.attributes = now;
        } else if self.measure.changes.len() < MOST_CHANGES
            && now != *self.measure.changes.last().map_or(&self.measure.attributes, |(_, a)| a)
        {
            self.measure.changes.push((self.cursor, now));
        }
    }

    fn harmony(&mut self, element: Element<'a>) {
        let staff = child_text(element, "staff").and_then(|t| whole(&t)).unwrap_or(1).clamp(1, 1000) as u32;
        let attributes = &self.walker.attributes;
        let (key, transposition) = (attributes.written_key(staff), attributes.transposition(staff));
        let at = (self.cursor + self.offset(element)).max(Beats::ZERO);
        self.measure.harmonies.push(PlacedHarmony { at, element, key, transposition });
    }

    /// The `offset` of a direction or harmony, at most as far as a measure can be.
    fn offset(&mut self, element: Element<'a>) -> Beats {
        let amount = child_text(element, "offset").and_then(|t| decimal(&t)).unwrap_or((0, 1));
        let most = Beats::QUARTER * LONGEST_WALK;
        self.walker.beats(amount).0.clamp(-most, most)
    }
}
