//! One voice as it grows: tokens in, measures with everything printed at them out.
//!
//! A measure ends at a bar sign and nowhere else, except where a line of music ends exactly on a full measure. Signs that stand between
//! notes
//! wait here until the note or the bar they belong to comes.

mod joins;
mod lengths;
mod marks;
mod measures;
mod words;

use super::lyrics::Slot;
use super::remarks::Remarks;
use super::scan::{Length, NoteText, Placed, Slash, Token};
use super::signs::Sign;
use crate::diagnostic::{Diagnostic, Severity, Span};
use crate::read::{MOST_MEASURES, MOST_NOTES};
use music::{Barline, Beats, ChordSymbol, Frame, Grace, Jump, Key, Meter, MeterSign, Note, Pitch, SheetMeasure, Step};
use std::collections::BTreeMap;

/// How far a written accidental reaches (11.3).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// Only its own note.
    Note,
    /// The rest of the measure, in its own octave.
    Octave,
    /// The rest of the measure, in all octaves: the standard's default.
    Measure,
}

/// What holds for the notes of a voice: at first as the tune begins, then as its fields say.
#[derive(Clone, Debug)]
pub struct VoiceSettings {
    pub meter: Meter,
    pub unit: Beats,
    pub key: Key,
    pub octaves: i32,
    pub reach: Reach,
}

/// A measure and what is only known about it while reading.
#[derive(Clone, Debug)]
pub struct Draft {
    pub measure: SheetMeasure,
    pub span: Option<Span>,
    /// Places of coda signs.
    pub codas: Vec<Beats>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Layer {
    First,
    /// After `&`: a second layer, which is left out.
    Overlay,
}

/// The tuplet being filled.
struct Group {
    actual: u32,
    normal: u32,
    notes: i64,
    left: i64,
}

/// Pitches waiting for the note they are tied to, and where they come from.
struct Tied {
    pitches: Vec<Pitch>,
    from: Slot,
    span: Span,
}

pub struct Voice {
    pub id: String,
    pub name: Option<String>,
    pub settings: VoiceSettings,
    pub remarks: Remarks,
    /// Finished measures.
    pub measures: Vec<Draft>,
    pub draft: Draft,
    /// Set when a limit was passed; nothing more is taken then.
    pub failed: Option<Diagnostic>,
    pub has_chords: bool,
    at: Beats,
    notes: usize,
    layer: Layer,
    accidentals: BTreeMap<(Step, i32), i32>,
    tied: Option<Tied>,
    group: Option<Group>,
    broken: Option<Length>,
    grace: Vec<Grace>,
    /// Slurs that begin at the next note.
    slurs: u8,
    /// Notes at which slurs began that are not closed yet.
    open_slurs: Vec<Slot>,
    signs: Vec<Sign>,
    chords: Vec<ChordSymbol>,
    section: Option<String>,
    ending: Option<Vec<u32>>,
    times: u32,
    line_full: Option<Span>,
    /// How many ties were slurs, and where the first stands.
    ties_as_slurs: Option<(u32, Span)>,
    pub words: WordsBelow,
}

/// Notes that still wait for words, and the ones the last words were laid on.
#[derive(Default)]
pub struct WordsBelow {
    slots: Vec<Slot>,
    block: Vec<Slot>,
    verse: u32,
    /// Where the last line of music begins among the slots, and how many lines there were since the last words.
    line_start: usize,
    lines: u32,
}

/// The most signs that wait for a note.
const MOST_SIGNS: usize = 64;

impl Voice {
    pub fn new(id: String, settings: VoiceSettings) -> Voice {
        let draft = Draft::new(&settings);
        Voice {
            id,
            name: None,
            settings,
            remarks: Remarks::default(),
            measures: Vec::new(),
            draft,
            failed: None,
            has_chords: false,
            at: Beats::ZERO,
            notes: 0,
            layer: Layer::First,
            accidentals: BTreeMap::new(),
            tied: None,
            group: None,
            broken: None,
            grace: Vec::new(),
            slurs: 0,
            open_slurs: Vec::new(),
            signs: Vec::new(),
            chords: Vec::new(),
            section: None,
            ending: None,
            times: 0,
            line_full: None,
            ties_as_slurs: None,
            words: WordsBelow::default(),
        }
    }

    /// How many notes and rests there are so far.
    pub fn size(&self) -> usize {
        self.notes
    }

    pub fn is_empty(&self) -> bool {
        self.notes == 0
    }

    /// Whether the current measure has no notes yet.
    pub fn measure_is_empty(&self) -> bool {
        self.draft.measure.notes.is_empty()
    }

    pub fn take(&mut self, placed: Placed, span: Span) {
        if self.failed.is_some() || self.layer == Layer::Overlay && !matches!(placed.token, Token::Bar(_)) {
            return;
        }
        let opens = matches!(
            placed.token,
            Token::Note(_) | Token::Chord { .. } | Token::Rest(_) | Token::Grace { .. } | Token::Quoted(_) | Token::Decoration(_)
        );
        if opens || matches!(placed.token, Token::MeasureRest(_) | Token::SlurStart | Token::Tuplet { .. }) {
            self.begin(span);
        }
        match placed.token {
            Token::Note(note) => {
                let pitch = self.pitch(&note, span);
                self.place(vec![pitch], note.length, span);
            }
            Token::Chord { notes, inside, length } => self.chord(notes, inside, length, span),
            Token::Rest(length) => self.place(Vec::new(), length, span),
            Token::MeasureRest(count) => self.measure_rest(count, span),
            Token::Spacer | Token::Field(..) | Token::Shorthand(_) => {}
            Token::Grace { slashed, notes } => self.grace_notes(slashed, notes, span),
            Token::Quoted(text) => self.quoted(&text, span),
            Token::Decoration(name) => {
                if self.signs.len() < MOST_SIGNS {
                    self.signs.push(super::signs::sign(&name));
                } else {
                    self.remarks.warn(span, format!("more than {MOST_SIGNS} signs at one note: the others were left out"));
                }
            }
            Token::Bar(bar) => self.bar(&bar, span),
            Token::Broken(count) => self.break_rhythm(count, span),
            Token::Tuplet { actual, normal, notes } => self.tuplet(actual, normal, notes, span),
            Token::SlurStart => self.slur_start(span),
            Token::SlurStop => self.slur_stop(span),
            Token::Tie => self.tie(span),
            Token::Overlay => {
                self.remarks.warn(span, "a second layer of notes (\"&\") is left out up to the next bar line");
                self.layer = Layer::Overlay;
            }
            Token::Unknown(what) => self.remarks.warn(span, format!("{what} is not understood here and was left out")),
        }
    }

    /// The pitch of a written note: octave, key, accidentals of the measure, and those carried by a tie.
    fn pitch(&mut self, note: &NoteText, span: Span) -> Pitch {
        let step = Step::from_letter(note.letter).expect("the scanner takes only the letters A to G");
        let wanted = if note.letter.is_ascii_lowercase() { 5 } else { 4 } + note.marks.clamp(-20, 20) + self.settings.octaves;
        let octave = wanted.clamp(-1, 9);
        if octave != wanted {
            self.remarks.warn(span, "a note outside all instruments was moved by octaves");
        }
        let place = match self.settings.reach {
            Reach::Measure => (step, 0),
            Reach::Octave | Reach::Note => (step, octave),
        };
        let tied = self.tied.as_ref().and_then(|t| t.pitches.iter().find(|p| p.step == step && p.octave == octave));
        let alter = match (note.accidental, tied) {
            (Some(alter), _) => {
                if self.settings.reach != Reach::Note {
                    self.accidentals.insert(place, alter);
                }
                alter
            }
            (None, Some(tied)) => tied.alter,
            (None, None) => self.accidentals.get(&place).copied().unwrap_or_else(|| self.settings.key.alter(step)),
        };
        Pitch::new(step, alter, octave)
    }

    /// Puts a note, chord or rest (no pitches) at the end of the measure with all that waits for it.
    fn place(&mut self, pitches: Vec<Pitch>, written: Length, span: Span) {
        let mut length = self.length(written, span);
        let tuplet = self.tuplet_edge();
        if let Some(group) = tuplet {
            length = self.scaled(length, Length { above: group.normal.into(), below: group.actual.into() }, span);
        }
        if let Some(factor) = self.broken.take() {
            length = self.scaled(length, factor, span);
        }
        self.push(Note { tuplet, ..Note::of(self.at, length, pitches) }, span);
    }

    fn push(&mut self, mut note: Note, span: Span) {
        self.notes += 1;
        if self.notes > MOST_NOTES {
            self.fail(span, format!("the tune has more than {MOST_NOTES} notes, the most that is read"));
            return;
        }
        self.place_chords(span);
        self.at += note.length;
        self.sign_note(&mut note);
        if !note.is_rest() {
            note.grace = std::mem::take(&mut self.grace);
            self.words.slots.push((self.measures.len(), self.draft.measure.notes.len()));
        }
        self.start_slurs(&mut note);
        self.join_tie(&mut note);
        self.draft.measure.notes.push(note);
    }

    /// Before anything is placed: closes a measure that the line before filled, and remembers where this one begins.
    fn begin(&mut self, span: Span) {
        if let Some(place) = self.line_full.take() {
            // Its accidentals go on: no bar line is drawn that would end them.
            self.remarks.note(place, "no bar line ends this line of music, but its last measure is full: a bar line was assumed");
            self.close(Barline::Plain, place);
        }
        self.draft.reach(span);
    }

    fn fail(&mut self, span: Span, message: String) {
        self.failed = Some(Diagnostic { severity: Severity::Error, span, message, hint: Some("leave part of the tune out".into()) });
    }

    fn last_note(&mut self) -> Option<&mut Note> {
        let here = self.draft.measure.notes.last_mut();
        here.or_else(|| self.measures.last_mut().and_then(|d| d.measure.notes.last_mut()))
    }

    fn last_slot(&self) -> Option<Slot> {
        let here = self.draft.measure.notes.len().checked_sub(1).map(|note| (self.measures.len(), note));
        here.or_else(|| Some((self.measures.len().checked_sub(1)?, self.measures.last()?.measure.notes.len().checked_sub(1)?)))
    }

    fn note_at(&mut self, slot: Slot) -> Option<&mut Note> {
        let draft = if slot.0 == self.measures.len() { &mut self.draft } else { self.measures.get_mut(slot.0)? };
        draft.measure.notes.get_mut(slot.1)
    }

    fn chord(&mut self, notes: Vec<NoteText>, inside: Vec<Placed>, outer: Length, span: Span) {
        for placed in inside {
            match placed.token {
                Token::Decoration(_) | Token::Quoted(_) => self.take(placed, span),
                Token::SlurStart | Token::SlurStop | Token::Tie => {}
                Token::Unknown(what) => self.remarks.warn(span, format!("{what} is not understood here and was left out")),
                _ => self.remarks.warn(span, "only notes and their signs stand in a chord: something else was left out"),
            }
        }
        let Some(first) = notes.first().copied() else {
            self.remarks.warn(span, "a chord without notes was left out");
            return;
        };
        if notes.iter().any(|n| n.length != first.length) {
            self.remarks.note(span, "the notes of a chord differ in length: the first one's holds for all");
        }
        let tied: Vec<usize> = (0..notes.len()).filter(|i| notes[*i].tied).collect();
        let mut pitches: Vec<Pitch> = notes.iter().map(|n| self.pitch(n, span)).collect();
        let tied: Vec<Pitch> = tied.iter().map(|i| pitches[*i]).collect();
        pitches.sort_by_key(|p| (p.midi(), p.position()));
        pitches.dedup();
        let length =
            Length { above: first.length.above.saturating_mul(outer.above), below: first.length.below.saturating_mul(outer.below) };
        self.place(pitches, length, span);
        if !tied.is_empty() {
            self.tie_pitches(tied, span);
        }
    }

    fn measure_rest(&mut self, count: i64, span: Span) {
        if self.settings.meter.sign == MeterSign::Free {
            self.remarks.note(span, "a whole measure of rest in free meter was read as four quarters");
        }
        for i in 0..count.clamp(1, MOST_MEASURES as i64 + 1) {
            if i > 0 {
                self.close(Barline::Plain, span);
                self.accidentals.clear();
            }
            if self.failed.is_some() {
                return;
            }
            self.draft.reach(span);
            let length = self.settings.meter.length();
            self.push(Note::rest(self.at, length), span);
        }
    }

    /// Grace notes have a printed value only (4.12): an eighth when alone, sixteenths in a group, times their written length.
    fn grace_notes(&mut self, slashed: Slash, notes: Vec<Vec<NoteText>>, span: Span) {
        let base: i64 = if notes.len() == 1 { 8 } else { 16 };
        for chord in notes {
            let length = chord.first().map_or(Length::ONE, |n| n.length);
            let value = (base.saturating_mul(length.below) / length.above.max(1)).clamp(1, 128) as u32;
            let pitches = chord.iter().map(|n| self.pitch(n, span)).collect();
            if self.grace.len() < 64 {
                self.grace.push(Grace { pitches, value: value.next_power_of_two(), slashed: slashed == Slash::With });
            }
        }
    }

    pub fn set_meter(&mut self, meter: Meter) {
        if self.measure_is_empty() {
            self.draft.measure.frame.meter = meter.clone();
        }
        self.settings.meter = meter;
    }

    pub fn set_key(&mut self, key: Key) {
        if self.measure_is_empty() {
            self.draft.measure.frame.key = key.clone();
        }
        self.settings.key = key;
    }

    pub fn tempo(&mut self, tempo: music::Tempo) {
        self.draft.measure.frame.tempos.push((self.at, tempo));
    }

    pub fn tempo_words(&mut self, words: String) {
        self.draft.measure.frame.words.push((self.at, words));
    }

    /// A line of music for this voice begins.
    pub fn start_line(&mut self) {
        self.words.line_start = self.words.slots.len();
        self.words.lines += 1;
    }

    /// A line of music ends here without a continuation sign.
    pub fn end_line(&mut self, span: Span) {
        let full = self.settings.meter.sign != MeterSign::Free && self.at == self.draft.measure.frame.meter.length();
        self.line_full = (full && !self.measure_is_empty()).then_some(span);
    }
}

impl Draft {
    fn new(settings: &VoiceSettings) -> Draft {
        let frame = Frame::plain(0, settings.meter.clone(), settings.key.clone());
        Draft { measure: SheetMeasure { frame, notes: Vec::new() }, span: None, codas: Vec::new() }
    }

    /// The measure's place in the source begins at its first sign and reaches to its last on that line.
    fn reach(&mut self, span: Span) {
        let whole = self.span.get_or_insert(span);
        let end = span.column + span.width;
        if whole.line == span.line && end > whole.column + whole.width {
            whole.width = end - whole.column;
        }
    }
}

pub fn add_jump(frame: &mut Frame, jump: Jump) {
    if !frame.jumps.contains(&jump) {
        frame.jumps.push(jump);
    }
}

fn counted(count: u32, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}
