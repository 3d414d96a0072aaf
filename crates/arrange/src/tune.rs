//! The tune laid out as it will be arranged: verses one after another, and the melody as strings in absolute time.
//!
//! One verse keeps the tune's own repeats and endings; several are written out in playing order, each under its heading. Where that makes another tempo stand
//! before a measure than on the tune's own page, it takes a mark of the tempo that stands there. What was added to the tune ([`crate::form`]) comes before,
//! between and after the verses: see [`around`].

mod around;
mod verses;

use crate::form::{Added, Repeats};
use crate::hand_time::string_bit;
use crate::measures::{LaidMeasure, PerMeasure, SourceMeasure};
use music::order::playing_order;
use music::{Beats, Clock, Frame, Hand, LeadSheet, Meter, Note, Part, SheetMeasure, Tempo};
use std::collections::BTreeMap;
use verses::{as_written, write_out};

/// The most measures that are planned, verses written out.
pub const MOST_MEASURES: usize = 2_000;
/// The most notes and rests of a tune that are laid out, verses written out, every string of a chord counted. With the left hand a page stays within what the check
/// reads.
pub const MOST_NOTES: usize = 40_000;

/// The laid-out tune.
#[derive(Clone, Debug)]
pub struct Tune {
    pub sheet: LeadSheet,
    /// For each measure where it comes from.
    pub origin: PerMeasure<Origin>,
    /// For each measure which part of the whole it belongs to, from 0: a verse, or a part that was added.
    pub part: PerMeasure<usize>,
    /// For each measure the hand that has the melody.
    pub melody_in: PerMeasure<Hand>,
    /// The verses whose melody the left hand has, with the octaves by which it lies otherwise there.
    pub below: BTreeMap<usize, i32>,
    pub starts: PerMeasure<Beats>,
    /// When each place comes, as it is laid out.
    pub clock: Clock,
    pub melody: Vec<Sung>,
    /// For each measure the first of `melody` that begins in it or later.
    first_in: PerMeasure<usize>,
}

/// Where a laid-out measure comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// A measure of the source, in a verse, from 0.
    Tune { source: SourceMeasure, verse: usize },
    /// The place in a part that was added, from 0, and by how much fuller than the verse its left hand is wished, and at least how full.
    Added { part: Part, place: usize, verse: usize, fuller: i8, least: u8 },
}

impl Origin {
    /// The measure of the source.
    pub fn source(self) -> Option<SourceMeasure> {
        match self {
            Origin::Tune { source, .. } => Some(source),
            Origin::Added { .. } => None,
        }
    }

    /// The verse, or the one beside which a part stands.
    pub fn verse(self) -> usize {
        match self {
            Origin::Tune { verse, .. } | Origin::Added { verse, .. } => verse,
        }
    }

    pub fn part(self) -> Part {
        match self {
            Origin::Tune { .. } => Part::Tune,
            Origin::Added { part, .. } => part,
        }
    }
}

/// How a tune is laid out.
#[derive(Clone, Copy, Debug)]
pub struct Layout<'a> {
    pub verses: usize,
    /// The verses whose melody the left hand has, and by how many octaves it lies otherwise there.
    pub below: &'a BTreeMap<usize, i32>,
    pub repeats: Repeats,
    pub added: &'a Added,
}

/// The left hand has the melody of no verse.
pub static NONE_BELOW: BTreeMap<usize, i32> = BTreeMap::new();

/// One pluck of the melody with its ties joined; times are absolute.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sung {
    pub on: Beats,
    pub off: Beats,
    pub hand: Hand,
    /// Positions of the strings, lowest first.
    pub strings: Vec<i32>,
    /// The same, a bit each ([`string_bit`]).
    pub string_bits: u64,
    /// One bit for each pitch class that sounds.
    pub classes: u16,
    pub top_midi: i32,
}

impl Sung {
    pub fn low(&self) -> i32 {
        self.strings[0]
    }

    pub fn high(&self) -> i32 {
        self.strings[self.strings.len() - 1]
    }
}

impl Tune {
    /// The verses alone. `tempo` holds at the first note where no mark stands there.
    pub fn lay_out(sheet: &LeadSheet, verses: usize, tempo: Tempo) -> Tune {
        Tune::lay_out_whole(sheet, Layout { verses, below: &NONE_BELOW, repeats: Repeats::Kept, added: &Added::default() }, tempo)
    }

    /// The verses with what was added to them.
    pub fn lay_out_whole(sheet: &LeadSheet, layout: Layout, tempo: Tempo) -> Tune {
        let verses = layout.verses.max(1);
        let written_out = is_written_out(sheet, layout);
        let own = if written_out { write_out(sheet, verses, tempo) } else { as_written(sheet) };
        let (mut sheet, origin) = around::put(sheet, own, layout.added, tempo);
        let below = |here: &Origin| if here.part() == Part::Tune { layout.below.get(&here.verse()) } else { None };
        for (measure, octaves) in sheet.measures.iter_mut().zip(&origin).filter_map(|(m, o)| Some((m, below(o)?))) {
            measure.notes.iter_mut().for_each(|note| lay(note, *octaves));
        }
        let melody_in = origin.iter().map(|o| if below(o).is_some() { Hand::Left } else { Hand::Right }).collect();
        Tune { below: layout.below.clone(), ..Tune::of(sheet, origin, melody_in, tempo) }
    }

    /// A page of one verse as it stands, with the hand that has the melody in each measure.
    pub fn of_page(sheet: &LeadSheet, melody_in: Vec<Hand>, tempo: Tempo) -> Tune {
        let (sheet, origin) = as_written(sheet);
        Tune::of(sheet, origin, melody_in, tempo)
    }

    fn of(sheet: LeadSheet, origin: Vec<Origin>, melody_in: Vec<Hand>, tempo: Tempo) -> Tune {
        let mut part = Vec::with_capacity(origin.len());
        for (at, here) in origin.iter().enumerate() {
            let same = |before: &Origin| (before.part(), before.verse()) == (here.part(), here.verse());
            part.push(at.checked_sub(1).map_or(0, |before| part[before] + usize::from(!same(&origin[before]))));
        }
        let starts = sheet.starts();
        let melody = sung(&sheet, &starts, &melody_in);
        let first_in = starts.iter().map(|s| melody.partition_point(|n| n.on < *s)).collect();
        let clock = Clock::of_sheet(&sheet, tempo);
        let (origin, part, melody_in, starts) = (origin.into(), part.into(), melody_in.into(), starts.into());
        Tune { sheet, origin, part, melody_in, below: BTreeMap::new(), starts, clock, melody, first_in }
    }

    /// All its measures, in the order of the page.
    pub fn measures(&self) -> impl DoubleEndedIterator<Item = LaidMeasure> + use<> {
        self.origin.measures()
    }

    pub fn measure(&self, measure: LaidMeasure) -> &SheetMeasure {
        &self.sheet.measures[measure.index()]
    }

    pub fn frame(&self, measure: LaidMeasure) -> &Frame {
        &self.measure(measure).frame
    }

    /// When a place of the page comes: its measures are those laid out.
    pub fn on_page(&self, measure: usize, at: Beats) -> Beats {
        self.starts[LaidMeasure::at(measure)] + at
    }

    /// How many measures [`Tune::lay_out_whole`] would make.
    pub fn laid_out_measures(sheet: &LeadSheet, layout: Layout) -> usize {
        let verses = layout.verses;
        if !is_written_out(sheet, layout) {
            return sheet.measures.len();
        }
        let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
        playing_order(&frames).measures.len().saturating_mul(verses)
    }

    /// How many notes and rests [`Tune::lay_out_whole`] would make of the verses, every string of a chord counted and grace notes too.
    pub fn laid_out_notes(sheet: &LeadSheet, layout: Layout) -> usize {
        let verses = layout.verses;
        let of_note = |note: &Note| note.pitches.len().max(1) + note.grace.iter().map(|g| g.pitches.len()).sum::<usize>();
        let of_measure: Vec<usize> = sheet.measures.iter().map(|m| m.notes.iter().map(of_note).sum()).collect();
        if !is_written_out(sheet, layout) {
            return of_measure.iter().sum();
        }
        let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
        playing_order(&frames).measures.iter().map(|m| of_measure[*m]).sum::<usize>().saturating_mul(verses)
    }

    /// Headings with the measures above which they stand: verses where there are several, and what was added.
    pub fn headings(&self, verses: usize, added: &Added) -> Vec<(LaidMeasure, String)> {
        let heading = |origin: Origin, below: bool, labelled: bool| match origin.part() {
            Part::Tune if verses > 1 && below => Some(format!("Verse {}, {}", origin.verse() + 1, music::MELODY_IN_THE_LEFT_HAND)),
            Part::Tune if verses > 1 => Some(format!("Verse {}", origin.verse() + 1)),
            Part::Tune if below => {
                let words = music::MELODY_IN_THE_LEFT_HAND;
                Some(words[..1].to_uppercase() + &words[1..])
            }
            // A label of the tune's own says it already; where there are words under the notes, they are a verse.
            Part::Tune if !added.leads_in() || labelled => None,
            Part::Tune => Some(if self.sheet.has_syllables() { "Verse" } else { "Tune" }.to_owned()),
            part => added.all().find(|made| made.part == part).map(|made| made.heading.clone()),
        };
        let begins = self.measures().filter(|m| m.back(1).is_none_or(|before| self.part[*m] != self.part[before]));
        begins
            .filter_map(|m| Some((m, heading(self.origin[m], self.melody_in[m] == Hand::Left, self.frame(m).section.is_some())?)))
            .collect()
    }

    /// The name of a measure that stays when other parts are added: of the verses its place among them from 0 ("12"), of another part its place in that
    /// ("introduction-0").
    pub fn name(&self, measure: LaidMeasure) -> String {
        let part = self.origin[measure].part();
        let before = self.measures().take_while(|m| *m < measure).filter(|m| self.origin[*m].part() == part).count();
        if part == Part::Tune { before.to_string() } else { format!("{}-{before}", part.name()) }
    }

    /// The measure of a name; `None` where this page has none.
    pub fn named(&self, name: &str) -> Option<LaidMeasure> {
        self.measures().find(|m| self.name(*m) == name)
    }

    pub fn end(&self) -> Beats {
        self.measures().next_back().map_or(Beats::ZERO, |last| self.starts[last] + self.frame(last).length)
    }

    /// The melody notes that begin in a measure.
    pub fn begun_in(&self, measure: LaidMeasure) -> &[Sung] {
        let end = self.first_in.get(measure.next()).copied().unwrap_or(self.melody.len());
        &self.melody[self.first_in[measure]..end]
    }

    /// The melody notes that sound or begin in a stretch of time.
    pub fn around(&self, from: Beats, to: Beats) -> &[Sung] {
        let end = self.melody.partition_point(|n| n.on < to);
        let begin = self.melody[..end].iter().rposition(|n| n.off <= from).map_or(0, |i| i + 1);
        &self.melody[begin..end]
    }
}

/// What counts as a long note of the tune: a half note, in compound meters a dotted quarter (common practice).
pub fn long_note(meter: &Meter) -> Beats {
    if meter.is_compound() { meter.beat() } else { Beats::HALF }
}

/// Several verses are, one where it is wished, or where the signs of the tune cannot stand beside those that added parts need.
fn is_written_out(sheet: &LeadSheet, layout: Layout) -> bool {
    layout.verses > 1 || layout.repeats == Repeats::WrittenOut || around::needs_writing_out(sheet, layout.added)
}

fn lay(note: &mut Note, octaves: i32) {
    let pitches = note.pitches.iter_mut().chain(note.grace.iter_mut().flat_map(|g| &mut g.pitches));
    pitches.for_each(|pitch| pitch.octave += octaves);
}

fn sung(sheet: &LeadSheet, starts: &[Beats], melody_in: &[Hand]) -> Vec<Sung> {
    let mut all: Vec<Sung> = Vec::new();
    for ((measure, start), hand) in sheet.measures.iter().zip(starts).zip(melody_in) {
        for note in measure.notes.iter().filter(|n| !n.is_rest()) {
            let (on, off) = (*start + note.at, *start + note.end());
            if note.tie.from_before
                && let Some(last) = all.last_mut()
                && last.off == on
            {
                last.off = off;
                continue;
            }
            let mut strings: Vec<i32> = note.pitches.iter().map(|p| p.position()).collect();
            strings.sort();
            strings.dedup();
            let string_bits = strings.iter().fold(0, |bits, s| bits | string_bit(*s));
            let classes = note.pitches.iter().fold(0, |bits, p| bits | 1 << p.pitch_class());
            let top_midi = note.top().map_or(0, |p| p.midi());
            all.push(Sung { on, off, hand: *hand, strings, string_bits, classes, top_midi });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::sheet;
    use music::{Ending, Hyphen, Syllable};

    fn quarters(n: i64) -> Tempo {
        Tempo::of(Beats::QUARTER, n).expect("in range")
    }

    fn tempo() -> Tempo {
        quarters(120)
    }

    fn alone(verses: usize, added: &Added) -> Layout<'_> {
        Layout { verses, below: &NONE_BELOW, repeats: Repeats::Kept, added }
    }

    /// Arithmetic: four measures of which two are repeated are six a verse; the same number is laid out, and more verses than memory has room for are counted too.
    #[test]
    fn measures_are_counted_before_they_are_laid_out() {
        let none = Added::default();
        let sheet = sheet("4/4 C |: C4:4 | D4:4 :| E4:4 | F4:4 |");
        for (verses, measures) in [(1, 4), (2, 12), (26_001, 156_006), (usize::MAX, usize::MAX)] {
            assert_eq!(Tune::laid_out_measures(&sheet, alone(verses, &none)), measures);
        }
        assert_eq!(Tune::lay_out(&sheet, 2, tempo()).sheet.measures.len(), 12);
        // A chord of three strings and three single notes; the chord comes once.
        let sheet = music::text::sheet("4/4 C | [C4+E4+G4]:4 |: D4:4 :| E4:2 F4:2 |");
        for (verses, notes) in [(1, 6), (2, 14), (26_001, 182_007), (usize::MAX, usize::MAX)] {
            assert_eq!(Tune::laid_out_notes(&sheet, alone(verses, &none)), notes);
        }
    }

    /// `|: A 1B :| 2C` at 120, under the second ending 60: each verse is A B A C. C has its own mark; the second verse takes one of 120 where it begins, the
    /// repeat needs none. Word for word the times of the tune's own page: A and B 2 s each, C 4 s.
    #[test]
    fn verses_keep_the_tempos_of_their_page() {
        let mut tune = sheet("4/4 C |: C5:4 | D5:4 :| E5:4 |");
        let ending = |pass| Some(Ending { passes: vec![pass], starts: true, stops: true });
        (tune.measures[1].frame.ending, tune.measures[2].frame.ending) = (ending(1), ending(2));
        tune.measures[2].frame.tempos.push((Beats::ZERO, quarters(60)));
        let laid = Tune::lay_out(&tune, 2, tempo());
        let marks: Vec<Vec<Tempo>> = laid.sheet.measures.iter().map(|m| m.frame.tempos.iter().map(|t| t.1).collect()).collect();
        let (none, fast, slow) = (vec![], vec![tempo()], vec![quarters(60)]);
        assert_eq!(marks, [none.clone(), none.clone(), none.clone(), slow.clone(), fast, none.clone(), none, slow]);
        let once: Vec<i64> = Clock::of_sheet(&tune, tempo()).played().iter().map(|p| p.start.micros() / 1_000_000).collect();
        assert_eq!(once, [0, 2, 4, 6]);
        let starts: Vec<i64> = laid.starts.iter().map(|s| laid.clock.at_beats(*s).micros() / 1_000_000).collect();
        assert_eq!(starts, [0, 2, 4, 6, 10, 12, 14, 16]);
    }

    /// A ritardando over the last measure of a tune ends with the verse; one that would go on into the first ending does not go on into the second.
    #[test]
    fn a_ritardando_stays_in_its_verse() {
        let mut tune = sheet("4/4 C |: C5:4 | D5:4 :| E5:4 | F5:4 |");
        let ending = |pass| Some(Ending { passes: vec![pass], starts: true, stops: true });
        (tune.measures[1].frame.ending, tune.measures[2].frame.ending) = (ending(1), ending(2));
        tune.measures[0].frame.words.push((Beats::HALF, "riten.".into()));
        tune.measures[3].frame.words.push((Beats::HALF, "rit.".into()));
        let laid = Tune::lay_out(&tune, 2, tempo());
        let marked: Vec<usize> = (0..10).filter(|m| !laid.sheet.measures[*m].frame.tempos.is_empty()).collect();
        // A B A C D, A B A C D: C takes a mark of 120 each time.
        assert_eq!(marked, [3, 8]);
        let at_start: Vec<i64> = laid.starts.iter().map(|s| laid.clock.tempo(laid.clock.place(*s)).milli_per_minute() / 1000).collect();
        assert_eq!(at_start, [120, 96, 120, 120, 120, 120, 96, 120, 120, 120]);
    }

    #[test]
    fn verses_are_written_out_in_playing_order() {
        let tune = Tune::lay_out(&sheet("3/4 G |: ( D4:1 | G4:3 | A4:2 :| B4:3 |"), 2, tempo());
        let numbers: Vec<u32> = tune.sheet.measures.iter().map(|m| m.frame.number.count).collect();
        assert_eq!(numbers, [0, 1, 2, 2, 3, 4, 5, 6, 7, 8, 8, 9, 10, 11]);
        assert!(tune.sheet.measures.iter().all(|m| m.frame.repeat_end.is_none()));
        assert_eq!(tune.origin[LaidMeasure::at(7)], Origin::Tune { source: SourceMeasure::FIRST, verse: 1 });
    }

    /// Common practice: a verse has its own line of words, a repeat takes the next one.
    #[test]
    fn each_time_through_has_its_line_of_words() {
        let mut tune = sheet("3/4 G |: G4:3 :| A4:3 |");
        for measure in &mut tune.measures {
            let line = |verse: u32| Syllable { verse, text: format!("line {verse}"), hyphen: Hyphen::Single, held: false };
            measure.notes[0].syllables = (1..=4).map(line).collect();
        }
        let words = |verses| -> Vec<String> {
            let laid = Tune::lay_out(&tune, verses, tempo());
            laid.sheet.measures.iter().flat_map(|m| &m.notes[0].syllables).map(|s| format!("{} as {}", s.text, s.verse)).collect()
        };
        assert_eq!(words(2), ["line 1 as 1", "line 2 as 1", "line 1 as 1", "line 3 as 1", "line 4 as 1", "line 2 as 1"]);
    }

    #[test]
    fn what_sounds_around_a_time() {
        let tune = Tune::lay_out(&sheet("4/4 C | C5:1 D5:2 E5:1 | F5:4 |"), 1, tempo());
        let at = |q: i64| Beats::quarters(q, 1).expect("exact");
        let tops: Vec<i32> = tune.around(at(2), at(4)).iter().map(|n| n.top_midi).collect();
        assert_eq!(tops, [74, 76]);
    }
}
