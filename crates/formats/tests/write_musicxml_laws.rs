//! Laws of written MusicXML, tried on invented scores: what is written adds up and means what the score says.

mod write_scores;

use formats::musicxml::write::write;
use formats::musicxml::{ScoreOptions, read_score};
use formats::read::MOST_MEASURES;
use formats::{ReadOptions, abc};
use music::{
    Beats, Hand, Key, LeadSheet, Meter, MeterSign, Mode, Note, Pitch, Preparation, Score, ScoreMeasure, SheetMeasure, Step, Tempo, Words,
};
use proptest::prelude::*;
use roxmltree::{Document, Node};
use std::collections::{BTreeMap, BTreeSet};
use write_scores::scores;

/// The type of a note and its dots as quarters: common practice.
fn quarters_of(kind: &str, dots: usize) -> Beats {
    let names = ["breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"];
    let place = names.iter().position(|n| *n == kind).unwrap_or_else(|| panic!("no note value {kind}"));
    let plain = Beats::quarters(8, 1 << place).expect("exact");
    plain.scaled((2 << dots) - 1, 1 << dots).expect("exact")
}

fn text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    node.children().find(|c| c.has_tag_name(name)).map(|c| c.text().unwrap_or(""))
}

fn number(node: Node, name: &str) -> Option<i64> {
    text(node, name).map(|t| t.parse().unwrap_or_else(|_| panic!("{name} is no number: {t}")))
}

fn pitch(note: Node) -> Option<Pitch> {
    let pitch = note.children().find(|c| c.has_tag_name("pitch"))?;
    let step = text(pitch, "step").and_then(|t| t.chars().next()).and_then(Step::from_letter)?;
    Some(Pitch::new(step, number(pitch, "alter").unwrap_or(0) as i32, number(pitch, "octave")? as i32))
}

fn notes<'a, 'i>(measure: Node<'a, 'i>, staff: i64) -> impl Iterator<Item = Node<'a, 'i>> {
    measure.children().filter(move |n| n.has_tag_name("note") && number(*n, "staff") == Some(staff))
}

fn has(node: Node, name: &str) -> bool {
    node.children().any(|c| c.has_tag_name(name))
}

/// The measures of the document and its divisions.
fn measures<'a, 'i>(document: &'a Document<'i>) -> (Vec<Node<'a, 'i>>, i64) {
    let measures: Vec<_> = document.descendants().filter(|n| n.has_tag_name("measure")).collect();
    let divisions = document.descendants().find(|n| n.has_tag_name("divisions")).and_then(|n| n.text()).and_then(|t| t.parse().ok());
    (measures, divisions.expect("a document has divisions"))
}

/// Every piece has a value that lasts as long as its duration says, and the pieces of a hand fill the measure.
fn values_add_up(score: &Score, document: &Document) {
    let (measures, divisions) = measures(document);
    for (measure, written) in score.measures.iter().zip(measures) {
        for staff in [1, 2] {
            let mut sum = 0;
            for note in notes(written, staff).filter(|n| !has(*n, "grace") && !has(*n, "chord")) {
                let duration = number(note, "duration").expect("a note has a duration");
                sum += duration;
                let length = Beats::quarters(duration, divisions).expect("exact");
                let whole_rest = note.children().any(|c| c.attribute("measure") == Some("yes"));
                if whole_rest {
                    assert_eq!(length, measure.frame.length);
                    continue;
                }
                let dots = note.children().filter(|c| c.has_tag_name("dot")).count();
                let printed = quarters_of(text(note, "type").expect("a note has a type"), dots);
                let ratio = note.children().find(|c| c.has_tag_name("time-modification"));
                let (actual, normal) =
                    ratio.map_or((1, 1), |r| (number(r, "actual-notes").unwrap_or(1), number(r, "normal-notes").unwrap_or(1)));
                assert_eq!(printed.scaled(normal, actual), Some(length));
            }
            assert_eq!(Beats::quarters(sum, divisions), Some(measure.frame.length), "staff {staff}");
        }
    }
}

/// Place in the measure, length, and the pitches with whether each is tied from before.
type Event = (Beats, Beats, Vec<(Pitch, bool)>);

/// Onset from the start of the piece, length and pitch of all sounding notes of a hand, ties joined.
fn tones(starts: &[Beats], lines: &[Vec<Event>]) -> Vec<(Beats, Beats, Pitch)> {
    let mut tones: Vec<(Beats, Beats, Pitch)> = Vec::new();
    for (start, line) in starts.iter().zip(lines) {
        for (at, length, heads) in line {
            for (pitch, tied) in heads {
                let open = tones.iter_mut().rev().find(|t| t.2 == *pitch && t.0 + t.1 == *start + *at).filter(|_| *tied);
                match open {
                    Some(open) => open.1 += *length,
                    None => tones.push((*start + *at, *length, *pitch)),
                }
            }
        }
    }
    tones
}

fn written_line(measure: Node, staff: i64, divisions: i64) -> Vec<Event> {
    let mut line: Vec<Event> = Vec::new();
    let mut at = Beats::ZERO;
    for note in notes(measure, staff).filter(|n| !has(*n, "grace")) {
        let length = number(note, "duration").and_then(|d| Beats::quarters(d, divisions)).expect("exact");
        let tied = note.children().any(|c| c.has_tag_name("tie") && c.attribute("type") == Some("stop"));
        let head = pitch(note).map(|p| (p, tied));
        match line.last_mut().filter(|_| has(note, "chord")) {
            Some(chord) => chord.2.extend(head),
            None => {
                line.push((at, length, head.into_iter().collect()));
                at += length;
            }
        }
    }
    line
}

/// Split notes and ties come back as the notes of the score.
fn sounding_notes_are_the_scores(score: &Score, document: &Document) {
    let (measures, divisions) = measures(document);
    let mut at = Beats::ZERO;
    let starts: Vec<Beats> = score.measures.iter().map(|m| (at, at += m.frame.length).0).collect();
    for (hand, staff) in [(Hand::Right, 1), (Hand::Left, 2)] {
        let heads = |n: &Note| n.pitches.iter().map(|p| (*p, n.tie.from_before)).collect();
        let ours: Vec<_> = score.measures.iter().map(|m| m.hand(hand).iter().map(|n| (n.at, n.length, heads(n))).collect()).collect();
        let theirs: Vec<_> = measures.iter().map(|m| written_line(*m, staff, divisions)).collect();
        assert_eq!(tones(&starts, &ours), tones(&starts, &theirs));
    }
}

/// A tie that begins at a pitch ends at the same pitch of the next note of the hand, and the other way round.
fn ties_have_both_ends(document: &Document) {
    for staff in [1, 2] {
        let mut open: BTreeSet<Pitch> = BTreeSet::new();
        let mut next: BTreeSet<Pitch> = BTreeSet::new();
        let notes = measures(document).0.into_iter().flat_map(|m| notes(m, staff)).filter(|n| !has(*n, "grace"));
        for note in notes {
            if !has(note, "chord") {
                assert!(open.is_empty(), "ties without an end: {open:?}");
                open = std::mem::take(&mut next);
            }
            for tie in note.children().filter(|c| c.has_tag_name("tie")) {
                let pitch = pitch(note).expect("only notes are tied");
                match tie.attribute("type") {
                    Some("start") => assert!(next.insert(pitch)),
                    _ => assert!(open.remove(&pitch), "a tie to {pitch} without a beginning"),
                }
            }
        }
        assert!(open.is_empty() && next.is_empty());
    }
}

/// A reader who sees only the key signature and the printed accidentals plays the right pitches. Common practice: an accidental holds on its
/// line or space until the bar line; a note tied over the bar line keeps its own.
fn accidentals_say_the_pitches(score: &Score, document: &Document) {
    let names = ["flat-flat", "flat", "natural", "sharp", "double-sharp"];
    let (measures, _) = measures(document);
    for (measure, written) in score.measures.iter().zip(measures) {
        for staff in [1, 2] {
            let mut seen: BTreeMap<i32, i32> = BTreeMap::new();
            for note in notes(written, staff) {
                let Some(pitch) = pitch(note) else { continue };
                let tied = note.children().any(|c| c.has_tag_name("tie") && c.attribute("type") == Some("stop"));
                let printed = text(note, "accidental").map(|t| names.iter().position(|n| *n == t).expect("a known accidental") as i32 - 2);
                let holds = printed.or(seen.get(&pitch.position()).copied()).unwrap_or_else(|| measure.frame.key.alter(pitch.step));
                if tied {
                    assert_eq!(printed, None);
                } else {
                    assert_eq!(holds, pitch.alter, "{pitch} in staff {staff}");
                    seen.insert(pitch.position(), holds);
                }
            }
        }
    }
}

/// Beams open and close on each level, never reach a rest or a quarter, and never cross the bar line.
fn beams_are_balanced(document: &Document) {
    for measure in measures(document).0 {
        for staff in [1, 2] {
            let mut open: BTreeSet<(bool, i64)> = BTreeSet::new();
            for note in notes(measure, staff).filter(|n| !has(*n, "chord")) {
                let grace = has(note, "grace");
                let beams: Vec<_> = note.children().filter(|c| c.has_tag_name("beam")).collect();
                assert!(beams.is_empty() || pitch(note).is_some());
                assert!(grace || !beams.is_empty() || open.iter().all(|(g, _)| *g));
                for beam in beams {
                    let level = (grace, beam.attribute("number").and_then(|n| n.parse().ok()).expect("a beam has a number"));
                    match beam.text() {
                        Some("begin") => assert!(open.insert(level)),
                        Some("continue") => assert!(open.contains(&level)),
                        Some("end") => assert!(open.remove(&level)),
                        Some("forward hook" | "backward hook") => assert!(!open.contains(&level)),
                        other => panic!("no beam {other:?}"),
                    }
                }
            }
            assert!(open.is_empty());
        }
    }
}

fn ids_are_unique(document: &Document) {
    let ids: Vec<&str> = document.descendants().filter_map(|n| n.attribute("id")).filter(|id| id.starts_with('m')).collect();
    assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len());
}

/// Slurs open and close by number; tuplets open and close.
fn brackets_are_balanced(document: &Document) {
    for name in ["slur", "tuplet"] {
        let mut open: BTreeSet<(&str, &str)> = BTreeSet::new();
        for staff in ["1", "2"] {
            for note in document.descendants().filter(|n| n.has_tag_name("note") && text(*n, "staff") == Some(staff)) {
                for sign in note.descendants().filter(|n| n.has_tag_name(name)) {
                    let number = (staff, sign.attribute("number").expect("a number"));
                    match sign.attribute("type") {
                        Some("start") => assert!(open.insert(number)),
                        _ => assert!(open.remove(&number)),
                    }
                }
            }
            assert!(open.is_empty(), "{name}s left open: {open:?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn written_scores_mean_what_the_score_says(score in scores()) {
        let written = write(&score);
        let document = Document::parse(&written).expect("well-formed");
        values_add_up(&score, &document);
        sounding_notes_are_the_scores(&score, &document);
        ties_have_both_ends(&document);
        accidentals_say_the_pitches(&score, &document);
        beams_are_balanced(&document);
        ids_are_unique(&document);
        brackets_are_balanced(&document);
        prop_assert_eq!(written, write(&score));
    }
}

/// The key signature counts: in D major an F sharp needs no sign, an F natural does.
#[test]
fn accidentals_depart_from_the_key() {
    let mut score = write_scores::score(&[]);
    score.measures[0].frame.key = Key::new(2, Mode::Major);
    score.measures[0].right = music::text::notes("F#4:1 F4:1 F4:1 F#4:1");
    let written = write(&score);
    let document = Document::parse(&written).expect("well-formed");
    let printed: Vec<_> = notes(measures(&document).0[0], 1).map(|n| text(n, "accidental")).collect();
    assert_eq!(printed, [None, Some("natural"), None, Some("sharp")]);
}

/// The left hand holds one chord through each measure of a tune.
fn with_one_chord_a_measure(sheet: LeadSheet) -> Score {
    let chord: Vec<Pitch> = ["C3", "G3", "E4"].iter().filter_map(|p| Pitch::parse(p)).collect();
    let measure = |(source, m): (usize, SheetMeasure)| {
        let left = vec![Note::of(Beats::ZERO, m.frame.length, chord.clone())];
        ScoreMeasure {
            frame: m.frame,
            right: m.notes,
            left,
            heading: None,
            marks: Vec::new(),
            source: Some(source),
            melody: music::Hand::Right,
        }
    };
    let measures = sheet.measures.into_iter().enumerate().map(measure).collect();
    let tempo = Tempo::of(Beats::QUARTER, 90).expect("in range");
    Score { words: sheet.words, tempo, preparation: Preparation::default(), measures }
}

/// Fifty notes of 64 whole notes in one measure of free meter ran the writer out of room; now they are as few signs as can be drawn.
#[test]
fn endless_notes_are_written_with_few_signs() {
    let tune = format!("X:1\nT:Deep\nM:none\nL:1/1\nK:C\n\"C\"{}|]\n", "c64 ".repeat(50));
    let sheet = abc::read(tune.as_bytes(), &ReadOptions::default()).expect("a tune").sheet;
    let written = write(&with_one_chord_a_measure(sheet));
    // Fifty measures of eight whole notes: four breves tied, four strings in both hands together.
    assert_eq!(written.matches("<note ").count(), 50 * 4 * 4);
    assert_eq!(written.matches("<type>breve</type>").count(), 50 * 4 * 4);
}

/// A score that was not read but made may hold a note of any length.
#[test]
fn one_note_of_any_length_is_written() {
    let mut score = with_one_chord_a_measure(music::text::sheet("4/4 C | C4:100000 |"));
    score.measures[0].frame.meter = Meter::new(vec![4], 4, MeterSign::Free).expect("in range");
    assert_eq!(write(&score).matches("<type>breve</type>").count(), 4 * 12_500);
}

/// The longest page that is arranged is read again: as many measures as a tune may have, and 100,000 notes and rests.
#[test]
fn the_longest_page_is_read_again() {
    let measure = |i: usize| {
        let mut frame = music::Frame::plain(i as u32 + 1, Meter::simple(4, 4), Key::C_MAJOR);
        frame.chords = music::text::sheet("4/4 C | \"G7\"C4:4 |").measures[0].frame.chords.clone();
        let right = music::text::notes(&"C4:1/8 E4:1/8 ".repeat(16));
        let left = music::text::notes(&"[C3+G3]:1/2 [E3+B3+D4]:1/2 ".repeat(4));
        ScoreMeasure { frame, right, left, heading: None, marks: Vec::new(), source: Some(i), melody: music::Hand::Right }
    };
    let tempo = Tempo::of(Beats::QUARTER, 90).expect("in range");
    let score =
        Score { words: Words::default(), tempo, preparation: Preparation::default(), measures: (0..MOST_MEASURES).map(measure).collect() };
    let written = write(&score);
    assert!(written.matches("<note ").count() >= 100_000, "{}", written.matches("<note ").count());
    let back = read_score(written.as_bytes(), &ScoreOptions::default()).expect("a page");
    assert_eq!(back.score.measures.len(), MOST_MEASURES);
    assert!(back.score.measures.iter().zip(&score.measures).all(|(a, b)| (&a.right, &a.left) == (&b.right, &b.left)));
}

/// What stands in one measure too long for a line keeps its number on the page and when it is read again.
#[test]
fn parts_of_a_long_measure_keep_their_number() {
    let tune = format!("X:1\nM:none\nL:1/4\nK:C\n{}|{}|\n", "C".repeat(80), "D4");
    let sheet = abc::read(tune.as_bytes(), &ReadOptions::default()).expect("a tune").sheet;
    let numbers = |score: &Score| -> Vec<u32> { score.measures.iter().map(|m| m.frame.number.count).collect() };
    let score = with_one_chord_a_measure(sheet);
    assert_eq!(numbers(&score), [1, 1, 1, 2]);
    let back = read_score(write(&score).as_bytes(), &ScoreOptions::default()).expect("a page").score;
    assert_eq!(numbers(&back), [1, 1, 1, 2]);
}
