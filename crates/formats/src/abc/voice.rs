//! One voice as it grows: tokens in, measures with everything printed at them out.
//!
//! A measure ends at a bar sign and nowhere else, except where a line of music ends exactly on a full measure. Signs that stand between notes
//! wait here until the note or the bar they belong to comes.

use super::bars::Bar;
use super::lyrics::{self, Slot};
use super::remarks::Remarks;
use super::scan::{Length, NoteText, Placed, Slash, Token};
use super::signs::Sign;
use crate::diagnostic::{Diagnostic, Severity, Span};
use crate::read::{MOST_MEASURES, MOST_NOTES};
use music::{
    Barline, Beats, ChordSymbol, Decoration, Ending, Frame, Grace, Jump, Key, Meter, MeterSign, Note, Pitch, PlacedChord, SheetMeasure, Step,
    Tuplet, TupletEdge,
};
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

/// What a voice begins with.
#[derive(Clone, Debug)]
pub struct Settings {
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
    pub settings: Settings,
    pub remarks: Remarks,
    /// Finished measures.
    pub measures: Vec<Draft>,
    pub draft: Draft,
    /// Set when a limit was passed; nothing more is taken then.
    pub failed: Option<Diagnostic>,
    pub has_chords: bool,
    at: Beats,
    total: Beats,
    notes: usize,
    layer: Layer,
    accidentals: BTreeMap<(Step, i32), i32>,
    tied: Option<Tied>,
    group: Option<Group>,
    broken: Option<Length>,
    grace: Vec<Grace>,
    slurs: u8,
    open_slurs: u32,
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

/// The longest note, in whole notes; anything longer is cut to this.
const LONGEST_NOTE: i64 = 64;
/// The longest voice, in quarter notes.
const LONGEST_VOICE: i64 = 500_000;

impl Voice {
    pub fn new(id: String, settings: Settings) -> Voice {
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
            total: Beats::ZERO,
            notes: 0,
            layer: Layer::First,
            accidentals: BTreeMap::new(),
            tied: None,
            group: None,
            broken: None,
            grace: Vec::new(),
            slurs: 0,
            open_slurs: 0,
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
            Token::Decoration(name) => self.signs.push(super::signs::sign(&name)),
            Token::Bar(bar) => self.bar(&bar, span),
            Token::Broken(count) => self.break_rhythm(count, span),
            Token::Tuplet { actual, normal, notes } => self.tuplet(actual, normal, notes, span),
            Token::SlurStart => {
                self.slurs = self.slurs.saturating_add(1);
                self.open_slurs += 1;
            }
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

    /// A written length in musical time.
    fn length(&mut self, written: Length, span: Span) -> Beats {
        if written.above == 0 {
            self.remarks.warn(span, "a length of nothing was read as one unit");
            return self.settings.unit;
        }
        let unit = self.settings.unit.fraction();
        let longest = Beats::WHOLE * LONGEST_NOTE;
        let length = self.exact(unit.0.saturating_mul(written.above), unit.1.saturating_mul(written.below), span);
        if length > longest {
            self.remarks.warn(span, format!("a note longer than {LONGEST_NOTE} whole notes was cut to that length"));
        }
        length.min(longest)
    }

    /// A fraction of quarter notes; one that no grid fits is rounded to a 1024th of a quarter, and never to nothing.
    fn exact(&mut self, above: i64, below: i64, span: Span) -> Beats {
        if let Some(length) = Beats::quarters(above, below) {
            return length;
        }
        self.remarks.note(span, "a length that divides too finely was rounded");
        let grains = (i128::from(above) * 1024 / i128::from(below.max(1))).clamp(1, 1024 * 4 * i128::from(LONGEST_NOTE));
        Beats::quarters(grains as i64, 1024).expect("a power of two is exact")
    }

    fn scaled(&mut self, length: Beats, factor: Length, span: Span) -> Beats {
        if let Some(scaled) = length.scaled(factor.above, factor.below).filter(|l| *l > Beats::ZERO) {
            return scaled;
        }
        let (above, below) = length.fraction();
        self.exact(above.saturating_mul(factor.above), below.saturating_mul(factor.below), span)
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
        self.total += note.length;
        if self.notes > MOST_NOTES || self.total > Beats::QUARTER * LONGEST_VOICE {
            self.fail(span, format!("the tune is longer than {MOST_NOTES} notes or {LONGEST_VOICE} quarter notes, the most that is read"));
            return;
        }
        self.place_chords(span);
        self.at += note.length;
        self.sign_note(&mut note);
        if !note.is_rest() {
            note.grace = std::mem::take(&mut self.grace);
            self.words.slots.push((self.measures.len(), self.draft.measure.notes.len()));
        }
        note.slurs_start = std::mem::take(&mut self.slurs);
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
        let length = Length {
            above: first.length.above.saturating_mul(outer.above),
            below: first.length.below.saturating_mul(outer.below),
        };
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

    /// `>` and `<` (4.4): the note before and the note after share their time unequally.
    fn break_rhythm(&mut self, count: i32, span: Span) {
        if count.abs() > 3 {
            self.remarks.warn(span, "a broken rhythm of more than three marks was read as three");
        }
        let parts = 1_i64 << count.abs().min(3);
        let (long, short) = (Length { above: 2 * parts - 1, below: parts }, Length { above: 1, below: parts });
        let (before, after) = if count > 0 { (long, short) } else { (short, long) };
        let Some(old) = self.last_note().map(|n| n.length) else {
            self.remarks.warn(span, "a broken rhythm without a note before it was left out");
            return;
        };
        let new = self.scaled(old, before, span);
        if let Some(note) = self.last_note() {
            note.length = new;
        }
        self.total = self.total + new - old;
        if !self.measure_is_empty() {
            self.at = self.at + new - old;
        }
        self.broken = Some(after);
    }

    /// `(p:q:r` (4.13): p notes in the time of q for the next r notes.
    fn tuplet(&mut self, actual: i64, normal: Option<i64>, notes: Option<i64>, span: Span) {
        let by_meter = if self.settings.meter.is_compound() { 3 } else { 2 };
        let usual = match actual {
            2 | 4 | 8 => 3,
            3 | 6 => 2,
            _ => by_meter,
        };
        let (normal, notes) = (normal.unwrap_or(usual), notes.unwrap_or(actual));
        let good = (1..=64).contains(&actual) && (1..=64).contains(&normal) && (1..=256).contains(&notes);
        if !good {
            self.remarks.warn(span, "a tuplet with such numbers is not read: expected two to nine notes");
            return;
        }
        self.group = Some(Group { actual: actual as u32, normal: normal as u32, notes, left: notes });
    }

    fn tuplet_edge(&mut self) -> Option<Tuplet> {
        let group = self.group.as_mut()?;
        let edge = match group.left {
            _ if group.notes == 1 => TupletEdge::Inside,
            left if left == group.notes => TupletEdge::Start,
            1 => TupletEdge::Stop,
            _ => TupletEdge::Inside,
        };
        group.left -= 1;
        let tuplet = Tuplet { actual: group.actual, normal: group.normal, edge };
        if group.left == 0 {
            self.group = None;
        }
        Some(tuplet)
    }

    fn slur_stop(&mut self, span: Span) {
        if self.open_slurs == 0 {
            self.remarks.warn(span, "\")\" without the \"(\" it closes was left out");
            return;
        }
        self.open_slurs -= 1;
        if let Some(note) = self.last_note() {
            note.slurs_stop = note.slurs_stop.saturating_add(1);
        }
    }

    fn tie(&mut self, span: Span) {
        match self.last_note().map(|n| n.pitches.clone()) {
            Some(pitches) if !pitches.is_empty() => self.tie_pitches(pitches, span),
            _ => self.remarks.warn(span, "a tie without a note before it was left out"),
        }
    }

    fn tie_pitches(&mut self, pitches: Vec<Pitch>, span: Span) {
        if let (Some(from), Some(note)) = (self.last_slot(), self.last_note()) {
            note.tie.to_next = true;
            self.tied = Some(Tied { pitches, from, span });
        }
    }

    /// The other end of a tie. Between different pitches the sign was meant as a slur (old files).
    fn join_tie(&mut self, note: &mut Note) {
        let Some(tied) = self.tied.take() else { return };
        if note.pitches.iter().any(|p| tied.pitches.contains(p)) {
            note.tie.from_before = true;
            return;
        }
        self.untie(&tied);
        if note.is_rest() {
            self.remarks.warn(tied.span, "a tie into a rest was left out");
            return;
        }
        self.ties_as_slurs.get_or_insert((0, tied.span)).0 += 1;
        note.slurs_stop = note.slurs_stop.saturating_add(1);
        if let Some(from) = self.note_at(tied.from) {
            from.slurs_start = from.slurs_start.saturating_add(1);
        }
    }

    fn untie(&mut self, tied: &Tied) {
        if let Some(from) = self.note_at(tied.from) {
            from.tie.to_next = false;
        }
    }

    /// Signs that waited for this note.
    fn sign_note(&mut self, note: &mut Note) {
        let at = note.at;
        for sign in std::mem::take(&mut self.signs) {
            match sign {
                Sign::Decoration(decoration) => note.decorations.push(decoration),
                Sign::Rolled => note.rolled = note.pitches.len() > 1,
                Sign::Finger(finger) if note.pitches.len() == 1 && note.fingers.is_empty() => note.fingers.push(finger),
                Sign::Finger(finger) => note.decorations.push(Decoration::Other(finger.to_string())),
                Sign::Coda => self.draft.codas.push(at),
                Sign::Jump(jump) => add_jump(&mut self.draft.measure.frame, jump),
                Sign::Nothing => {}
            }
        }
    }

    /// Text in quotes: a chord symbol, or an annotation if it begins with one of `^ _ < > @` (4.18, 4.19).
    fn quoted(&mut self, text: &str, span: Span) {
        if let Some(annotation) = text.strip_prefix(['^', '_', '<', '>', '@']) {
            let annotation = if text.starts_with('@') { after_place(annotation) } else { annotation };
            return self.annotation(&super::text::clean(annotation));
        }
        match crate::chord_text::parse(&super::text::clean(text)) {
            Ok(parsed) => {
                for note in parsed.notes {
                    self.remarks.note(span, note);
                }
                self.has_chords = true;
                if self.chords.len() < 16 {
                    self.chords.extend(parsed.symbols);
                }
            }
            Err(error) => {
                let words = super::text::clean(text);
                // Numbers are fingerings, written as words for want of a sign.
                let plain = words.chars().all(|c| c.is_ascii_digit() || "()-, ".contains(c));
                if !plain && super::signs::jump(&words).is_none() {
                    self.remarks.note(span, format!("{error}; it is kept as words above the staff"));
                }
                self.annotation(&words);
            }
        }
    }

    fn annotation(&mut self, words: &str) {
        if words.trim().is_empty() {
            return;
        }
        match super::signs::jump(words) {
            Some(sign) => self.signs.push(sign),
            None => self.draft.measure.frame.words.push((self.at, words.trim().to_owned())),
        }
    }

    /// Chord symbols that wait come to stand at the note; several stand there together, in their order.
    fn place_chords(&mut self, span: Span) {
        let chords = std::mem::take(&mut self.chords);
        if chords.len() > 1 {
            self.remarks.note(span, format!("{} chord symbols stand at one note", chords.len()));
        }
        let at = self.at;
        self.draft.measure.frame.chords.extend(chords.into_iter().map(|symbol| PlacedChord { at, symbol }));
    }

    /// A field on a line of its own begins something new: an unfinished measure ends before it.
    pub fn break_measure(&mut self, span: Span) {
        if let Some(place) = self.line_full.take() {
            self.close(Barline::Plain, place);
        } else if !self.measure_is_empty() {
            self.remarks.note(span, "a new part or meter begins before a bar line: one was assumed");
            self.close(Barline::Plain, span);
        }
        self.accidentals.clear();
    }

    /// A label at the head of the next measure that has no notes yet.
    pub fn section(&mut self, label: String) {
        if self.measure_is_empty() {
            self.draft.measure.frame.section = Some(label);
        } else {
            self.section = Some(label);
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

    /// A `w:` line. Lines that follow each other without music between are verses on the same notes; else the words begin at the first note
    /// after the ones that already had a line (5.1). Where several lines of music came since and the last of them is enough, the words belong to
    /// that one, as in files older than the standard.
    pub fn lyrics(&mut self, line: &str, span: Span) {
        let items = lyrics::items(line);
        if self.words.lines > 0 {
            let reach = lyrics::reach(&items);
            let mut block = std::mem::take(&mut self.words.slots);
            let last_line = block.len() - self.words.line_start.min(block.len());
            if self.words.lines > 1 && (1..=last_line).contains(&reach) {
                block.drain(..block.len() - last_line);
            }
            self.words = WordsBelow { block, ..WordsBelow::default() };
        }
        let slots = std::mem::take(&mut self.words.block);
        self.words.verse += 1;
        let aligned = lyrics::align(&items, &slots, self.words.verse);
        self.words.block = slots;
        if aligned.left_over > 0 {
            let message = counted(aligned.left_over as u32, "syllable has no note and was left out", "syllables have no notes and were left out");
            self.remarks.advise(span, message, "check the words against the notes above them");
        }
        for (slot, syllable) in aligned.syllables {
            if let Some(note) = self.note_at(slot) {
                note.syllables.push(syllable);
            }
        }
    }

    /// A bar sign, or the number of an ending.
    fn bar(&mut self, bar: &Bar, span: Span) {
        (self.layer, self.line_full) = (Layer::First, None);
        self.signs_at_bar();
        if !self.measure_is_empty() {
            self.close(if bar.drawn { bar.line } else { Barline::None }, span);
        } else if let Some(last) = self.measures.last_mut() {
            if matches!(bar.line, Barline::Double | Barline::Final) {
                last.measure.frame.right = bar.line;
            }
        } else if bar.drawn && bar.opens == 0 {
            self.draft.measure.frame.left = bar.line;
        }
        if bar.drawn {
            self.accidentals.clear();
        }
        if bar.closes > 0 {
            self.close_repeat(bar.closes, span);
        }
        if bar.is_strong() {
            self.end_ending();
        }
        if bar.opens > 0 {
            self.draft.measure.frame.repeat_start = true;
            self.times = bar.opens + 1;
        }
        if !bar.endings.is_empty() {
            self.start_ending(bar.endings.clone(), span);
        }
    }

    fn close_repeat(&mut self, colons: u32, span: Span) {
        let times = (colons + 1).max(std::mem::take(&mut self.times));
        match self.measures.last_mut() {
            Some(last) => last.measure.frame.repeat_end = Some(times),
            None => self.remarks.warn(span, "a repeat sign with nothing to repeat was left out"),
        }
    }

    /// Signs that wait when a bar comes: the ones for places wait on, the others belong to what ends here.
    fn signs_at_bar(&mut self) {
        let (at, empty) = (self.at, self.measure_is_empty());
        for sign in std::mem::take(&mut self.signs) {
            match sign {
                Sign::Jump(Jump::Segno) => self.signs.push(sign),
                Sign::Coda if empty => self.signs.push(sign),
                Sign::Coda => self.draft.codas.push(at),
                Sign::Jump(jump) => {
                    let draft = if empty { self.measures.last_mut() } else { Some(&mut self.draft) };
                    draft.into_iter().for_each(|d| add_jump(&mut d.measure.frame, jump));
                }
                Sign::Decoration(decoration) => self.last_note().into_iter().for_each(|n| n.decorations.push(decoration.clone())),
                Sign::Rolled | Sign::Finger(_) | Sign::Nothing => {}
            }
        }
    }

    /// Ends the measure.
    fn close(&mut self, line: Barline, span: Span) {
        self.draft.measure.frame.right = line;
        self.draft.reach(span);
        let mut next = Draft::new(&self.settings);
        next.measure.frame.section = self.section.take();
        next.measure.frame.ending = self.ending.clone().map(|passes| Ending { passes, starts: false, stops: false });
        self.measures.push(std::mem::replace(&mut self.draft, next));
        self.at = Beats::ZERO;
        if self.measures.len() > MOST_MEASURES {
            self.fail(span, format!("the tune has more than {MOST_MEASURES} measures, the most that is read"));
        }
    }

    fn start_ending(&mut self, passes: Vec<u32>, span: Span) {
        if self.ending.is_some() {
            if let Some(last) = self.measures.last_mut().filter(|d| d.measure.frame.repeat_end.is_none()) {
                last.measure.frame.repeat_end = Some(2);
                self.remarks.note(span, "an ending follows another without a repeat sign: one was assumed");
            }
        }
        self.end_ending();
        self.draft.measure.frame.ending = Some(Ending { passes: passes.clone(), starts: true, stops: false });
        self.ending = Some(passes);
    }

    fn end_ending(&mut self) {
        self.ending = None;
        self.draft.measure.frame.ending = None;
        if let Some(ending) = self.measures.last_mut().and_then(|d| d.measure.frame.ending.as_mut()) {
            ending.stops = true;
        }
    }

    /// The voice is at its end: the last measure is closed, and what still waits is let go.
    pub fn end(&mut self, span: Span) {
        self.signs_at_bar();
        if !self.measure_is_empty() {
            self.close(Barline::Plain, span);
        }
        self.end_ending();
        if let Some(tied) = self.tied.take() {
            self.untie(&tied);
            self.remarks.note(tied.span, "a tie at the end of the tune leads nowhere");
        }
        if let Some((count, first)) = self.ties_as_slurs {
            self.remarks.note(first, format!("{} read as slurs", counted(count, "tie between different notes", "ties between different notes")));
        }
        if !self.chords.is_empty() {
            self.remarks.warn(span, "a chord symbol after the last note was left out");
        }
        if self.open_slurs > 0 {
            self.remarks.note(span, format!("{} not closed", counted(self.open_slurs, "slur is", "slurs are")));
        }
        let words = std::mem::take(&mut self.draft.measure.frame.words);
        if let Some(last) = self.measures.last_mut() {
            let end = last.measure.notes.iter().map(|n| n.length).sum();
            last.measure.frame.words.extend(words.into_iter().map(|(_, w)| (end, w)));
        }
    }
}

impl Draft {
    fn new(settings: &Settings) -> Draft {
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

/// `@10,-5 text`: the place on the page is left out.
fn after_place(text: &str) -> &str {
    text.trim_start_matches(|c: char| c.is_ascii_digit() || ",.- ".contains(c))
}
