//! Laws of written MIDI files, tried on invented scores and read back with an independent parser of the format.

mod write_scores;

use formats::midi::write;
use midly::{Format, MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};
use music::order::playing_order;
use music::{Beats, Decoration, Frame, Hand, Note, Score};
use proptest::prelude::*;
use std::collections::BTreeMap;
use write_scores::scores;

/// (key, from, to) in ticks of every note of a track, and the channels and programs it uses.
fn track_notes(smf: &Smf, track: usize) -> Vec<(i32, i64, i64)> {
    let mut now = 0;
    let mut open: BTreeMap<u8, i64> = BTreeMap::new();
    let mut notes = Vec::new();
    for event in &smf.tracks[track] {
        now += i64::from(event.delta.as_int());
        if let TrackEventKind::Midi { message, .. } = event.kind {
            match message {
                MidiMessage::NoteOn { key, .. } => {
                    assert_eq!(open.insert(key.as_int(), now), None, "a string sounds on into its own pluck")
                }
                MidiMessage::NoteOff { key, .. } => {
                    let from = open.remove(&key.as_int()).expect("a note ends that began");
                    notes.push((i32::from(key.as_int()), from, now));
                }
                _ => {}
            }
        }
    }
    assert!(open.is_empty(), "every note ends");
    notes.sort_by_key(|n| (n.1, n.0));
    notes
}

fn per_quarter(smf: &Smf) -> i64 {
    match smf.header.timing {
        Timing::Metrical(ticks) => i64::from(ticks.as_int()),
        other => panic!("expected ticks a quarter, found {other:?}"),
    }
}

fn ticks(time: Beats, per_quarter: i64) -> i64 {
    let (numerator, denominator) = time.fraction();
    assert_eq!(numerator * per_quarter % denominator, 0, "a time that is not exact");
    numerator * per_quarter / denominator
}

/// What a hand plays, in the playing order, ties joined and every string stopped by its own next pluck.
fn expected(score: &Score, hand: Hand, per_quarter: i64) -> Vec<(i32, i64, i64)> {
    let frames: Vec<&Frame> = score.measures.iter().map(|m| &m.frame).collect();
    let mut start = 0;
    let mut notes: Vec<(i32, i64, i64)> = Vec::new();
    for index in playing_order(&frames).measures {
        let measure = &score.measures[index];
        for note in measure.hand(hand) {
            let (from, to) = (start + ticks(note.at, per_quarter), start + ticks(note.end(), per_quarter));
            for key in note.pitches.iter().map(|p| p.midi()).collect::<std::collections::BTreeSet<_>>() {
                match notes.iter_mut().rev().find(|n| n.0 == key && n.2 == from).filter(|_| note.tie.from_before) {
                    Some(held) => held.2 = to,
                    None => notes.push((key, from, to)),
                }
            }
        }
        start += ticks(measure.frame.length, per_quarter);
    }
    notes.sort_by_key(|n| (n.1, n.0));
    notes
}

/// The same score without what a player spreads out.
fn plain(score: &Score) -> Score {
    let mut score = score.clone();
    for note in score.measures.iter_mut().flat_map(|m| m.right.iter_mut().chain(&mut m.left)) {
        let decorations = note.decorations.iter().filter(|d| **d != Decoration::Arpeggio).cloned().collect();
        *note = Note { grace: Vec::new(), rolled: false, decorations, ..note.clone() };
    }
    score
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn plain_scores_are_played_as_written(score in scores()) {
        let score = plain(&score);
        let bytes = write(&score);
        let smf = Smf::parse(&bytes).expect("a MIDI file");
        prop_assert_eq!(smf.header.format, Format::Parallel);
        prop_assert_eq!(smf.tracks.len(), 3);
        let per_quarter = per_quarter(&smf);
        prop_assert_eq!(track_notes(&smf, 1), expected(&score, Hand::Right, per_quarter));
        prop_assert_eq!(track_notes(&smf, 2), expected(&score, Hand::Left, per_quarter));
        prop_assert_eq!(write(&score), bytes);
    }

    /// Rolls and grace notes move notes by little and lose none but the shortest grace notes.
    #[test]
    fn rolls_and_grace_notes_stay_near(score in scores()) {
        let bytes = write(&score);
        let smf = Smf::parse(&bytes).expect("a MIDI file");
        let per_quarter = per_quarter(&smf);
        for (track, hand) in [(1, Hand::Right), (2, Hand::Left)] {
            let played = track_notes(&smf, track);
            for (key, from, to) in expected(&plain(&score), hand, per_quarter) {
                let near = |n: &&(i32, i64, i64)| n.0 == key && n.1 >= from && n.1 <= from + (to - from) * 2 / 3;
                prop_assert!(played.iter().any(|n| near(&n)), "{key} from {from} to {to} in {played:?}");
            }
        }
    }
}

fn song() -> Score {
    let mut score = write_scores::score(&[]);
    score.measures[0].right = music::text::notes("G4:1 A4:1 B4:2");
    score.measures[0].left = music::text::notes("~[G2+D3+B3]:4");
    score.tempo = music::Tempo::of(Beats::QUARTER, 60).expect("in range");
    score
}

/// At a quarter a second 60 ms are 28 of 480 ticks (28.8, cut to whole ticks a string).
#[test]
fn a_roll_climbs_from_the_beat() {
    let bytes = write(&song());
    let smf = Smf::parse(&bytes).expect("a MIDI file");
    assert_eq!(track_notes(&smf, 2), [(43, 0, 1920), (50, 28, 1920), (59, 56, 1920)]);
}

/// At a quarter a second two quarters last 2 s; held half as long again they take 3 s, so they go at 1.5 s a quarter, and the note after them comes at 3 s.
#[test]
fn a_fermata_goes_slower_up_to_its_end() {
    let mut score = song();
    score.measures[0].right = music::text::notes("G4:2 A4:2");
    score.measures[0].right[0].decorations.push(Decoration::Fermata);
    let bytes = write(&score);
    let smf = Smf::parse(&bytes).expect("a MIDI file");
    let mut now = 0;
    let mut tempos = Vec::new();
    for event in &smf.tracks[0] {
        now += event.delta.as_int();
        if let TrackEventKind::Meta(MetaMessage::Tempo(micros)) = event.kind {
            tempos.push((now, micros.as_int()));
        }
    }
    assert_eq!(tempos, [(0, 1_500_000), (960, 1_000_000)]);
}

/// 80 ms are 38 ticks. At the start of the piece the grace note takes its time from its note, later from the note before.
#[test]
fn grace_notes_come_before_the_beat_where_they_can() {
    let mut score = song();
    let grace = music::Grace { pitches: music::Pitch::parse("C5").into_iter().collect(), value: 8, slashed: true };
    score.measures[0].right[0].grace.push(grace.clone());
    score.measures[0].right[2].grace.push(grace);
    let bytes = write(&score);
    let smf = Smf::parse(&bytes).expect("a MIDI file");
    assert_eq!(track_notes(&smf, 1), [(72, 0, 38), (67, 38, 480), (69, 480, 960), (72, 922, 960), (71, 960, 1920)]);
}

/// MIDI 1.0, Standard MIDI Files: tempo in microseconds a quarter, meter as a power of two, the harp as program 46 counted from 0.
#[test]
fn the_first_track_has_the_maps_and_the_others_the_harp() {
    let score = song();
    let bytes = write(&score);
    let smf = Smf::parse(&bytes).expect("a MIDI file");
    let metas: Vec<MetaMessage> =
        smf.tracks[0].iter().filter_map(|e| if let TrackEventKind::Meta(m) = e.kind { Some(m) } else { None }).collect();
    let expected = [
        MetaMessage::TrackName(score.words.title.as_bytes()),
        MetaMessage::TimeSignature(4, 2, 24, 8),
        MetaMessage::KeySignature(-7, false),
        MetaMessage::Tempo(1_000_000.into()),
        MetaMessage::EndOfTrack,
    ];
    assert_eq!(metas, expected);
    for (track, channel) in [(1, 0), (2, 1)] {
        let program = smf.tracks[track].iter().find_map(|e| match e.kind {
            TrackEventKind::Midi { channel, message: MidiMessage::ProgramChange { program } } => Some((channel.as_int(), program.as_int())),
            _ => None,
        });
        assert_eq!(program, Some((channel, 46)));
    }
}
