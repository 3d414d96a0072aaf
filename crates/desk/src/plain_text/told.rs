//! A page as a text tells it: what of it comes back when the text is read.

use super::head;
use super::song;
use super::tokens::plain;
use music::{Decoration, Frame, Hand, Jump, Mark, Note, Pitch, PlacedMark, Preparation, Score, ScoreMeasure, Words};
use std::collections::BTreeSet;

/// What [`super::read()`] finds in the text of this page.
pub fn told(score: &Score) -> Score {
    let harp = ["Harp: ", "Levers: ", "Pedals, "];
    let lines = head::lines(score).into_iter().filter(|line| harp.iter().any(|label| line.starts_with(label)));
    Score {
        words: words(&score.words),
        tempo: score.tempo,
        preparation: Preparation { lines: lines.collect(), setting: None },
        measures: score.measures.iter().map(measure).collect(),
    }
}

fn words(words: &Words) -> Words {
    let text = |text: &Option<String>| text.as_deref().map(plain).filter(|t| !t.is_empty());
    Words {
        title: plain(&words.title),
        subtitles: words.subtitles.iter().map(|s| plain(s)).filter(|s| !s.is_empty()).collect(),
        composer: text(&words.composer),
        lyricist: text(&words.lyricist),
        origin: text(&words.origin),
        rights: text(&words.rights),
        tempo_words: text(&words.tempo_words),
        verses: words.verses.iter().map(|line| plain(line)).skip_while(String::is_empty).collect(),
        ..Words::default()
    }
}

fn measure(measure: &ScoreMeasure) -> ScoreMeasure {
    let mut frame = measure.frame.clone();
    frame.words = frame.words.iter().map(|(at, text)| (*at, plain(text))).filter(|(_, text)| !text.is_empty()).collect();
    frame.section = frame.section.as_deref().map(plain).filter(|t| !t.is_empty());
    frame.jumps = jumps(&frame);
    frame.chords.iter_mut().for_each(|chord| chord.symbol.source.clear());
    let heading = measure.heading.as_deref().map(plain).filter(|t| !t.is_empty());
    let (right, left) = (notes(&measure.right), notes(&measure.left));
    ScoreMeasure { frame, right, left, heading, marks: marks(&measure.marks), source: None, melody: measure.melody }
}

/// In the order in which they are told.
fn jumps(frame: &Frame) -> Vec<Jump> {
    let order = [Jump::Segno, Jump::Coda, Jump::ToCoda, Jump::Fine, Jump::DaCapo, Jump::DalSegno];
    order.iter().flat_map(|jump| frame.jumps.iter().filter(move |j| *j == jump).copied()).collect()
}

/// Those of no hand before those of the right and the left.
fn marks(marks: &[PlacedMark]) -> Vec<PlacedMark> {
    let of = |hand: Option<Hand>| marks.iter().filter(move |m| m.hand == hand);
    let all = of(None).chain(of(Some(Hand::Right))).chain(of(Some(Hand::Left)));
    let told = |m: &PlacedMark| {
        let mark = match &m.mark {
            Mark::Words(text) => Some(plain(text)).filter(|t| !t.is_empty()).map(Mark::Words),
            other => Some(other.clone()),
        };
        mark.map(|mark| PlacedMark { mark, first_pass: m.first_pass.max(1), ..m.clone() })
    };
    all.filter_map(told).collect()
}

fn notes(notes: &[Note]) -> Vec<Note> {
    let mut told: Vec<Note> = notes.iter().map(note).collect();
    for (verse, words) in song::words(notes) {
        song::read(&words, verse, &mut told).expect("what is written under notes is read under the same notes");
    }
    told
}

fn note(note: &Note) -> Note {
    let decorations = note.decorations.iter().map(|d| match d {
        Decoration::Dynamic(text) => Decoration::Dynamic(plain(text)),
        Decoration::Other(text) => Decoration::Other(plain(text)),
        named => named.clone(),
    });
    Note {
        syllables: Vec::new(),
        own_fingers: Vec::new(),
        decorations: decorations.collect(),
        fingers: note.fingers.iter().copied().take(note.pitches.len()).collect(),
        unplayable: unplayable(note),
        ..note.clone()
    }
}

/// In the order in which they are told, each once.
fn unplayable(note: &Note) -> Vec<Pitch> {
    let mut seen = BTreeSet::new();
    let all = note.grace.iter().flat_map(|g| &g.pitches).chain(&note.pitches);
    all.copied().filter(|p| note.unplayable.contains(p) && seen.insert(*p)).collect()
}
