//! The cue sheet: one page to improvise from, as data.
//!
//! Chords in lines of four measures, phrases marked, for each phrase one named figure with a [`picture`] of its shape on the strings, how full it is, lever or
//! pedal moves at their beats, ways out, and which measures begin the melody of the phrase. No written-out left hand: but all of it is read off the plan
//! that the page was made from, so that the two never disagree. How it looks is for others.

pub mod picture;

pub use picture::ShapePicture;

use crate::lesson::Lesson;
use arrange::measures::{LaidMeasure, SourceMeasure};
use arrange::principles::target;
use arrange::slots::counted_measure;
use arrange::ways_out::Way;
use music::{Beats, Ending, Harmony, Jump, Key, Mark, MeasureNumber, Meter, Part, PlacedMark, Tempo};
use std::collections::BTreeMap;

/// Measures in a line.
pub const IN_A_LINE: usize = 4;

/// A tune to improvise from.
#[derive(Clone, Debug, PartialEq)]
pub struct CueSheet {
    pub title: String,
    pub composer: Option<String>,
    pub key: Key,
    pub meter: Meter,
    pub tempo: Tempo,
    /// What is done before the first note, a line each.
    pub preparation: Vec<String>,
    pub phrases: Vec<PhraseCue>,
    /// How many verses are played.
    pub verses: usize,
}

/// One phrase.
#[derive(Clone, Debug, PartialEq)]
pub struct PhraseCue {
    /// "A", "B"; a phrase with the same melody and chords has the same letter.
    pub letter: String,
    /// Printed above it: "Refrain", "Introduction".
    pub heading: Option<String>,
    /// An earlier phrase of the sheet with the same letter.
    pub like: Option<usize>,
    pub measures: Vec<CueMeasure>,
    /// The measures of the page, by index, whose melody is shown small: the pickup, where there is one, and two more at most.
    pub incipit: Vec<usize>,
    /// What the hand does, a verse each.
    pub verses: Vec<VerseCue>,
    /// How to close early after it.
    pub out: Option<Way>,
}

/// The left hand of a phrase in one verse.
#[derive(Clone, Debug, PartialEq)]
pub struct VerseCue {
    /// The figure's name as it is read: "open broken chord".
    pub figure: String,
    /// 0 to 6, as full as the plan is here.
    pub fullness: u8,
    pub picture: Option<ShapePicture>,
}

/// One measure of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct CueMeasure {
    /// Of the page, from 0.
    pub index: usize,
    pub number: MeasureNumber,
    pub length: Beats,
    pub meter: Meter,
    /// It only leads into the next one.
    pub pickup: bool,
    pub chords: Vec<CueChord>,
    /// The chord that goes on from the measure before, where none is written at its start.
    pub goes_on: Option<String>,
    pub moves: Vec<Move>,
    pub repeat_start: bool,
    pub repeat_end: bool,
    pub ending: Option<Ending>,
    pub jumps: Vec<Jump>,
    /// Another figure than the phrase's, where the plan has one: a rest, a close.
    pub otherwise: Option<String>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CueChord {
    pub at: Beats,
    /// As people read it.
    pub text: String,
}

/// A lever or pedal that is moved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Move {
    pub at: Beats,
    /// "F♯4", "B♭"; with "2nd time" where only a repeat needs it.
    pub text: String,
}

impl CueSheet {
    /// The sheet of a lesson.
    pub fn of(lesson: &Lesson) -> CueSheet {
        let score = &lesson.made.score;
        let frame = &score.measures[0].frame;
        CueSheet {
            title: score.words.title.trim().to_owned(),
            composer: score.words.composer.clone(),
            key: frame.key.clone(),
            meter: main_meter(lesson),
            tempo: score.tempo,
            preparation: score.preparation.in_words(),
            phrases: phrases(lesson),
            verses: lesson.made.fullness.len(),
        }
    }
}

/// The meter of most measures.
fn main_meter(lesson: &Lesson) -> Meter {
    let mut seen: Vec<(Meter, usize)> = Vec::new();
    for measure in &lesson.made.score.measures {
        match seen.iter_mut().find(|(meter, _)| *meter == measure.frame.meter) {
            Some((_, count)) => *count += 1,
            None => seen.push((measure.frame.meter.clone(), 1)),
        }
    }
    let most = seen.iter().map(|(_, count)| *count).max().unwrap_or_default();
    seen.into_iter().find(|(_, count)| *count == most).map(|(meter, _)| meter).unwrap_or_else(|| Meter::simple(4, 4))
}

fn phrases(lesson: &Lesson) -> Vec<PhraseCue> {
    let made = lesson.made;
    let ways: BTreeMap<usize, Way> = made.ways_out().into_iter().filter(|o| o.at_a_phrase_end).map(|o| (o.measure, o.way)).collect();
    let mut all: Vec<PhraseCue> = Vec::new();
    let mut letters = 0;
    for phrase in &made.phrases.phrases {
        let first = phrase.measures[0];
        // The other verses are told beside the first.
        if made.tune.origin[LaidMeasure::at(first)].part() == Part::Tune && made.tune.origin[LaidMeasure::at(first)].verse() > 0 {
            continue;
        }
        let verses = verses(lesson, &phrase.measures);
        let figure = verses.first().map(|v| v.figure.clone()).unwrap_or_default();
        let measures: Vec<CueMeasure> = phrase.measures.iter().map(|m| measure(lesson, *m, &figure)).collect();
        let like = all.iter().position(|before: &PhraseCue| alike(lesson, &before.measures, &measures));
        let letter = like.map_or_else(|| letter(letters), |like| all[like].letter.clone());
        letters += usize::from(like.is_none());
        let heading = made.score.measures[first].heading.clone().filter(|h| !h.starts_with("Verse"));
        let section = phrase.measures.iter().find_map(|m| made.score.measures[*m].frame.section.clone());
        all.push(PhraseCue {
            letter,
            heading: heading.or(section),
            like,
            incipit: incipit(&measures),
            out: phrase.measures.last().and_then(|m| ways.get(m)).cloned(),
            measures,
            verses,
        });
    }
    all
}

/// A, B, … Z, A2, B2, …
fn letter(index: usize) -> String {
    let name = char::from(b'A' + (index % 26) as u8);
    if index < 26 { name.to_string() } else { format!("{name}{}", index / 26 + 1) }
}

/// The same melody and chords, pickups aside.
fn alike(lesson: &Lesson, one: &[CueMeasure], other: &[CueMeasure]) -> bool {
    let whole = |all: &[CueMeasure]| -> Vec<usize> { all.iter().filter(|m| !m.pickup).map(|m| m.index).collect() };
    let (one, other) = (whole(one), whole(other));
    let melody = |m: usize| -> Vec<(Beats, Beats, Vec<music::Pitch>)> {
        lesson.made.tune.sheet.measures[m].notes.iter().map(|n| (n.at, n.length, n.pitches.clone())).collect()
    };
    let chords = |m: usize| -> Vec<(Beats, Harmony)> {
        lesson.made.score.measures[m].frame.chords.iter().map(|c| (c.at, c.symbol.harmony.clone())).collect()
    };
    one.len() == other.len() && one.iter().zip(&other).all(|(a, b)| melody(*a) == melody(*b) && chords(*a) == chords(*b))
}

fn measure(lesson: &Lesson, index: usize, figure: &str) -> CueMeasure {
    let score = &lesson.made.score.measures[index];
    let frame = &score.frame;
    let pickup = lesson.made.phrases.measures[index].pickup != harmony::Pickup::No;
    let other =
        lesson.played().filter(|(slot, ..)| slot.measure.index() == index && slot.chord.is_some()).map(|(_, f, _)| lesson.figure_name(f));
    let goes_on = lesson.played().find(|(slot, ..)| slot.measure.index() == index && slot.at.is_zero() && slot.chord.is_some());
    let goes_on = goes_on.filter(|_| frame.chords.first().is_none_or(|c| !c.at.is_zero())).map(|(slot, ..)| music::as_read(&slot.text));
    let otherwise = other.into_iter().find(|name| name != figure);
    CueMeasure {
        index,
        number: frame.number,
        length: frame.length,
        meter: frame.meter.clone(),
        pickup,
        chords: frame.chords.iter().map(|c| CueChord { at: c.at, text: format!("{:#}", c.symbol.harmony) }).collect(),
        goes_on,
        moves: score.marks.iter().filter_map(moved).collect(),
        repeat_start: frame.repeat_start,
        repeat_end: frame.repeat_end.is_some(),
        ending: frame.ending.clone(),
        jumps: frame.jumps.clone(),
        otherwise,
    }
}

fn moved(placed: &PlacedMark) -> Option<Move> {
    let what = match &placed.mark {
        Mark::Lever(pitch) => format!("{pitch:#}"),
        Mark::Pedal(name) => format!("{name:#}"),
        _ => return None,
    };
    let text = match PlacedMark::time(placed.first_pass) {
        Some(time) => format!("{what} {time}"),
        None => what,
    };
    Some(Move { at: placed.at, text })
}

/// The pickup and the first measures; of a phrase with several endings the first way.
fn incipit(measures: &[CueMeasure]) -> Vec<usize> {
    let pickups = measures.iter().take_while(|m| m.pickup).count();
    measures.iter().take(pickups + 2).map(|m| m.index).collect()
}

/// What the left hand does in the measures of a phrase, verse by verse.
fn verses(lesson: &Lesson, measures: &[usize]) -> Vec<VerseCue> {
    let tune = &lesson.made.tune;
    let sources: Vec<Option<SourceMeasure>> = measures.iter().map(|m| tune.origin[LaidMeasure::at(*m)].source()).collect();
    let of_verse = |verse: usize| -> Vec<usize> {
        if verse == 0 || sources.iter().any(Option::is_none) {
            return measures.to_vec();
        }
        // Verses are written out alike: the measures lie at the same distance.
        let first = |verse: usize| tune.measures().find(|m| tune.origin[*m].verse() == verse && tune.origin[*m].part() == Part::Tune);
        match (first(verse), first(0)) {
            (Some(first), Some(own)) => {
                let there = measures.iter().map(|m| m - own.index() + first.index());
                there.filter(|m| *m < tune.sheet.measures.len()).collect()
            }
            _ => measures.to_vec(),
        }
    };
    let count = if sources.iter().any(Option::is_none) { 1 } else { lesson.made.fullness.len().max(1) };
    let below = |verse: usize| lesson.wishes.melody_below.contains(&verse);
    let cue = |verse: usize| if below(verse) { VerseCue::of_melody() } else { verse_cue(lesson, &of_verse(verse)) };
    (0..count).map(cue).collect()
}

impl VerseCue {
    /// Of a verse in which the left hand plays the melody.
    fn of_melody() -> VerseCue {
        VerseCue { figure: "the melody, chords above it".into(), fullness: 0, picture: None }
    }
}

fn verse_cue(lesson: &Lesson, measures: &[usize]) -> VerseCue {
    let mut lasts: BTreeMap<usize, Beats> = BTreeMap::new();
    let here = || lesson.played().filter(|(slot, ..)| measures.contains(&slot.measure.index()) && slot.chord.is_some());
    for (slot, figure, _) in here() {
        *lasts.entry(figure).or_default() += slot.length;
    }
    let longest = lasts.values().max().copied().unwrap_or_default();
    let first = here().map(|(_, figure, _)| figure).find(|figure| lasts[figure] == longest);
    VerseCue {
        figure: first.map_or_else(|| "rest".to_owned(), |figure| lesson.figure_name(figure)),
        fullness: fullness(lesson, measures),
        picture: first.and_then(|figure| picture::picture(lesson, measures, figure)),
    }
}

/// The level of fullness whose wished notes are nearest to what the plan has in these measures.
fn fullness(lesson: &Lesson, measures: &[usize]) -> u8 {
    let (mut notes, mut length, mut pace) = (0, 0, None);
    for (slot, ..) in lesson.played().filter(|(slot, ..)| measures.contains(&slot.measure.index())) {
        // A pluck counts whole, every further string half (docs/engine.md, Fullness).
        notes += lesson.printed(slot).map(|n| 500 + 500 * n.pitches.len() as i64).sum::<i64>();
        length += slot.length.thousandths_of(counted_measure(&slot.meter));
        pace = Some(slot.pace);
    }
    let Some(pace) = pace.filter(|_| length > 0) else { return 0 };
    let here = notes * 1_000 / length;
    (0..=6).min_by_key(|level| (target(*level, pace) - here).abs()).unwrap_or_default()
}

impl CueSheet {
    /// The phrase that holds a measure of the page.
    pub fn phrase_of(&self, measure: usize) -> Option<&PhraseCue> {
        self.phrases.iter().find(|p| p.measures.iter().any(|m| m.index == measure))
    }
}

impl PhraseCue {
    /// Its measures in lines: four to a line, a fifth that would stand alone beside them; pickups stand before the first.
    pub fn lines(&self) -> Vec<&[CueMeasure]> {
        let pickups = self.measures.iter().take_while(|m| m.pickup).count();
        let whole = self.measures.len() - pickups;
        let mut lines = Vec::new();
        let (mut from, mut left) = (0, whole);
        while left > 0 {
            let take = if left == IN_A_LINE + 1 || left <= IN_A_LINE { left } else { IN_A_LINE };
            let end = from + take + if from == 0 { pickups } else { 0 };
            lines.push(&self.measures[from..end]);
            (from, left) = (end, left - take);
        }
        if lines.is_empty() && !self.measures.is_empty() { vec![&self.measures] } else { lines }
    }
}
