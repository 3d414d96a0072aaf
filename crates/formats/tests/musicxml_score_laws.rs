//! Laws of reading a page of two hands: what is written is what is read, tried on invented scores.

mod write_scores;

use formats::musicxml::write::write;
use formats::musicxml::{ImportedScore, ScoreOptions, read_score};
use music::*;
use proptest::prelude::*;
use std::collections::BTreeMap;
use write_scores::scores;

const HANDS: [Hand; 2] = [Hand::Right, Hand::Left];

fn read_back(score: &Score) -> ImportedScore {
    read_score(write(score).as_bytes(), &ScoreOptions::default()).expect("a written score is read")
}

fn has_notes(score: &Score) -> bool {
    score.measures.iter().any(|m| HANDS.iter().any(|h| m.hand(*h).iter().any(|n| !n.is_rest())))
}

fn starts(score: &Score) -> Vec<Beats> {
    let mut at = Beats::ZERO;
    score.measures.iter().map(|m| (at, at += m.frame.length).0).collect()
}

/// Every pluck of a hand, where it begins from the start of the piece, with the time to the end of the last note tied on. A tie holds for the
/// pitches that both notes share.
fn plucks(score: &Score, hand: Hand) -> BTreeMap<(Beats, Pitch), Beats> {
    let mut plucks: BTreeMap<(Beats, Pitch), Beats> = BTreeMap::new();
    let mut open: BTreeMap<Pitch, Beats> = BTreeMap::new();
    for (measure, start) in score.measures.iter().zip(starts(score)) {
        for note in measure.hand(hand) {
            let before = std::mem::take(&mut open);
            for pitch in &note.pitches {
                let from = before.get(pitch).copied().filter(|_| note.tie.from_before).unwrap_or(start + note.at);
                plucks.insert((from, *pitch), start + note.end() - from);
                if note.tie.to_next {
                    open.insert(*pitch, from);
                }
            }
        }
    }
    plucks
}

/// The same of what was read, the holds taken in.
fn plucks_read(imported: &ImportedScore, hand: Hand) -> BTreeMap<(Beats, Pitch), Beats> {
    let mut found = plucks(&imported.score, hand);
    let starts = starts(&imported.score);
    for hold in imported.holds.iter().filter(|h| h.hand == hand) {
        found.insert((starts[hold.measure] + hold.at, hold.pitch), hold.length);
    }
    found
}

/// Takes from a score what a page does not tell apart: ties inside measures and between different chords, rests in pieces, a pluck "rolled" on
/// one string, words of the right hand and words over the music; all pedals at the first note, which is how they stand before it; chords of no named kind; and brackets that only begin or only end.
fn plain(score: &Score) -> Score {
    let mut score = score.clone();
    for hand in HANDS {
        untie(&mut score, hand);
        pair_brackets(&mut score, hand);
    }
    for (index, measure) in score.measures.iter_mut().enumerate() {
        measure.right = measure.right.drain(..).fold(Vec::new(), plain_note);
        measure.left = measure.left.drain(..).fold(Vec::new(), plain_note);
        measure.frame.chords.dedup_by_key(|c| c.at);
        measure.frame.chords.retain(|c| !matches!(&c.symbol.harmony, Harmony::Chord(chord) if chord.kind == ChordKind::Other));
        for chord in &mut measure.frame.chords {
            if let Harmony::Chord(chord) = &mut chord.symbol.harmony {
                chord.bass = chord.bass.filter(|b| *b != chord.root);
            }
        }
        measure.frame.tempos.clear();
        let (right, left) = (measure.right.clone(), measure.left.clone());
        measure.marks.retain_mut(|mark| {
            if matches!(mark.mark, Mark::LetRing | Mark::Words(_)) {
                mark.hand.get_or_insert(Hand::Right);
            }
            let line = if mark.hand == Some(Hand::Left) { &left } else { &right };
            let tied = line.iter().any(|n| n.at == mark.at && n.tie.to_next);
            match &mut mark.mark {
                Mark::Pedals(_) if index == 0 && mark.at.is_zero() => return false,
                Mark::LetRing => return !tied,
                Mark::Words(words) if mark.hand == Some(Hand::Right) => {
                    measure.frame.words.push((mark.at, std::mem::take(words)));
                    return false;
                }
                _ => {}
            }
            true
        });
        in_order(&mut measure.marks, [&left, &right]);
        measure.frame.words.sort_by_key(|w| w.0);
        measure.source = Some(index);
    }
    score
}

/// Marks of one place and hand are read from the upper staff first, then words, then signs at the notes, of which one says as much as two.
fn in_order(marks: &mut Vec<PlacedMark>, lines: [&Vec<Note>; 2]) {
    let [left, right] = lines;
    let at_notes = |m: &PlacedMark| {
        let line = if m.hand == Some(Hand::Left) { left } else { right };
        m.mark == Mark::LetRing && line.iter().any(|n| n.at == m.at && !n.is_rest())
    };
    let lower = |m: &PlacedMark| m.hand == Some(Hand::Right) && matches!(m.mark, Mark::Lever(_) | Mark::Pedal(_) | Mark::Pedals(_));
    marks.sort_by_key(|m| (m.at, m.hand, at_notes(m), lower(m), matches!(m.mark, Mark::Words(_))));
    marks.dedup_by(|a, b| at_notes(a) && a == b);
}

/// A bracket begins at a note and ends at the next one that has an end of a bracket.
fn pair_brackets(score: &mut Score, hand: Hand) {
    let mut notes: Vec<&mut Note> = score.measures.iter_mut().flat_map(|m| line(m, hand).iter_mut()).collect();
    let ends: Vec<(usize, Bracket)> = notes.iter().enumerate().map(|(i, n)| (i, n.bracket)).filter(|e| e.1 != Bracket::None).collect();
    notes.iter_mut().for_each(|n| n.bracket = Bracket::None);
    for pair in ends.windows(2) {
        if let [(from, Bracket::Begins), (to, Bracket::Ends)] = pair {
            notes[*from].bracket = Bracket::Begins;
            notes[*to].bracket = Bracket::Ends;
        }
    }
}

fn line(measure: &mut ScoreMeasure, hand: Hand) -> &mut Vec<Note> {
    match hand {
        Hand::Right => &mut measure.right,
        Hand::Left => &mut measure.left,
    }
}

/// Keeps a tie only between equal chords on both sides of a bar line.
fn untie(score: &mut Score, hand: Hand) {
    for index in 0..score.measures.len() {
        for note in line(&mut score.measures[index], hand) {
            if !note.at.is_zero() {
                note.tie.from_before = false;
            }
        }
        let next = score.measures.get(index + 1).and_then(|m| m.hand(hand).first()).map(|n| n.pitches.clone());
        let count = score.measures[index].hand(hand).len();
        let mut joined = false;
        for (i, note) in line(&mut score.measures[index], hand).iter_mut().enumerate() {
            note.tie.to_next &= i + 1 == count && Some(&note.pitches) == next.as_ref();
            joined = note.tie.to_next;
        }
        if let Some(first) = score.measures.get_mut(index + 1).and_then(|m| line(m, hand).first_mut()) {
            first.tie.from_before &= joined;
        }
    }
}

fn plain_note(mut line: Vec<Note>, mut note: Note) -> Vec<Note> {
    if let Some(last) = line.last_mut().filter(|last| last.is_rest() && note.is_rest()) {
        last.length += note.length;
        return line;
    }
    let rolled = note.rolled || note.decorations.contains(&Decoration::Arpeggio);
    note.decorations.retain(|d| *d != Decoration::Arpeggio);
    note.rolled = rolled && note.pitches.len() > 1;
    note.pitches.sort_by_key(|p| (p.midi(), p.position()));
    (note.tuplet, note.slurs_start, note.slurs_stop) = (None, 0, 0);
    for syllable in &mut note.syllables {
        syllable.held &= matches!(syllable.hyphen, Hyphen::Single | Hyphen::End);
    }
    line.push(note);
    line
}

/// Slurs are balanced by the writer, and it divides what no single value holds into tuplets.
fn without_brackets(mut line: Vec<Note>) -> Vec<Note> {
    line.iter_mut().for_each(|n| (n.tuplet, n.slurs_start, n.slurs_stop) = (None, 0, 0));
    line
}

fn same_frame(written: &Frame, read: &Frame) {
    let alters = |f: &Frame| Step::ALL.map(|s| f.key.alter(s));
    let harmonies = |f: &Frame| f.chords.iter().map(|c| (c.at, c.symbol.harmony.clone())).collect::<Vec<_>>();
    assert_eq!((alters(written), &written.meter, written.length), (alters(read), &read.meter, read.length));
    assert_eq!((written.repeat_start, written.repeat_end, &written.ending), (read.repeat_start, read.repeat_end, &read.ending));
    assert_eq!((&written.jumps, &written.words, &written.section), (&read.jumps, &read.words, &read.section));
    assert_eq!(harmonies(written), harmonies(read));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any score: the same strings at the same moments, ringing on as long.
    #[test]
    fn plucks_come_back(score in scores().prop_filter("a page has notes", has_notes)) {
        let imported = read_back(&score);
        for hand in HANDS {
            prop_assert_eq!(plucks(&score, hand), plucks_read(&imported, hand));
        }
        let all = imported.score.measures.iter().flat_map(|m| m.right.iter().chain(&m.left));
        prop_assert!(all.into_iter().all(|n| !n.is_rest() || n.tie == Tie::default()));
    }

    /// A score that says nothing a page cannot: everything comes back.
    #[test]
    fn scores_come_back(score in scores().prop_filter("a page has notes", has_notes)) {
        let score = plain(&score);
        let read = read_back(&score).score;
        prop_assert_eq!(&score.words, &read.words);
        prop_assert_eq!(&score.preparation, &read.preparation);
        prop_assert_eq!(score.tempo.milli_quarters_per_minute(), read.tempo.milli_quarters_per_minute());
        prop_assert_eq!(score.measures.len(), read.measures.len());
        for (written, read) in score.measures.iter().zip(&read.measures) {
            same_frame(&written.frame, &read.frame);
            prop_assert_eq!(&written.right, &without_brackets(read.right.clone()));
            prop_assert_eq!(&written.left, &without_brackets(read.left.clone()));
            prop_assert_eq!(&written.heading, &read.heading);
            prop_assert_eq!(&written.marks, &read.marks);
            prop_assert_eq!(written.source, read.source);
        }
    }
}
