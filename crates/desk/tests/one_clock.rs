//! One clock from the tune to what is heard: tunes whose tempo changes go through planner, page, paper, check, sound and MIDI, and every pluck comes at the same
//! microsecond everywhere.
//!
//! A MIDI file says whole microseconds a quarter note, so there half a microsecond a quarter note may add up, and one more is for the rounding of the clock.

use arrange::{Arrangement, Figures, Wishes, arrange};
use desk::choices::Choices;
use desk::job::{Asked, Setup};
use desk::report::remarks;
use formats::musicxml::{ScoreOptions, read_score, write};
use harp::page::replay;
use harp::player::MoveTimes;
use harp::{Instrument, Player};
use midly::{MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};
use music::{Beats, Clock, Decoration, Hand, Mark, Note, Place, Seconds};
use sound::{Performing, perform};

/// From 120 to 60 in the third of four measures, the whole repeated.
const HALF_AS_FAST: &str = "X:1\nT:The Tide Turns\nM:4/4\nL:1/4\nQ:1/4=120\nK:C\n|:\"C\"cege|\"F\"afc2|[Q:1/4=60]\"G\"Bdg2|\"C\"c4:|\n";
/// From 60 to 120.
const TWICE_AS_FAST: &str = "X:1\nT:The Tide Runs\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n\"C\"cege|\"F\"afc2|[Q:1/4=120]\"G\"Bdg2|\"C\"c4|]\n";
/// A ritardando into a fermata, the tempo again, and a second, slower tempo that a D.C. leaves.
const IN_WORDS: &str = "X:1\nT:Before the Lock\nM:3/4\nL:1/4\nQ:1/4=100\nK:G\n\"G\"gbd'|\"Em\"\"^rit.\"e2g|\"D7\"a2 !fermata!a|\
    \"G\"\"^a tempo\"b3!fine!|[Q:1/4=72]\"C\"egc'|\"G\"\"^poco accel.\"dgb|\"D7\"f3!D.C.!|]\n";
/// F sharp and F natural of one string in turn, in the slow half and in the fast one.
const WITH_LEVERS: &str = "X:1\nT:Two Lamps\nM:4/4\nL:1/4\nQ:1/4=132\nK:C\n\"C\"cegc'|\"D\"d^fa2|\"F\"c'af2|\"C\"e4|\
    [Q:1/4=63]\"C\"cegc'|\"D\"d^fa2|\"F\"c'af2|\"C\"e4|]\n";

fn arranged(tune: &str, wishes: &Wishes) -> Arrangement {
    let sheet = formats::read(tune.as_bytes(), &formats::ReadOptions::default()).expect("our own tune reads").sheet;
    arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), wishes).expect("our own tune is arranged")
}

fn verses(many: usize) -> Wishes {
    Wishes { fullness: vec![3; many], ..Wishes::default() }
}

/// Notes that are plucked at their own place: not spread, without grace notes before them.
fn is_plain(note: &&Note) -> bool {
    note.is_plucked() && !note.rolled && !note.decorations.contains(&Decoration::Arpeggio) && note.grace.is_empty()
}

/// Planner, page, paper and check.
fn page_agrees(made: &Arrangement) {
    let clock = Clock::of_score(&made.score);
    for ((slot, choices), chosen) in made.plan.slots.iter().zip(&made.plan.choices).zip(&made.plan.found.chosen) {
        for pluck in &choices.candidates[*chosen].plucks {
            let place = Place { measure: slot.measure.index(), at: slot.at + pluck.at };
            assert_eq!(made.tune.clock.at_beats(slot.start + pluck.at), clock.at(place), "{place:?} as planned");
        }
    }
    let paper = write::write(&made.score);
    let read = read_score(paper.as_bytes(), &ScoreOptions::default()).expect("our own page reads").score;
    let onsets = check::onsets::onsets(&read, &Clock::of_score(&read));
    let plucked = |hand| made.score.measures.iter().enumerate().flat_map(move |(m, here)| here.hand(hand).iter().map(move |n| (m, n)));
    for (measure, note) in plucked(Hand::Left).chain(plucked(Hand::Right)).filter(|(_, n)| n.is_plucked()) {
        let place = Place { measure, at: note.at };
        let checked = onsets.iter().find(|o| o.place == place).unwrap_or_else(|| panic!("nothing is checked at {place:?}"));
        assert_eq!(checked.time, clock.at(place), "{place:?} as checked");
    }
}

/// Every plain note as it is played: its MIDI number, when the clock has it come, and how many quarter notes were played before.
fn played(made: &Arrangement, hand: Hand) -> Vec<(i32, Seconds, Beats)> {
    let clock = Clock::of_score(&made.score);
    let mut quarters = Beats::ZERO;
    let mut all = Vec::new();
    for (pass, played) in clock.played().iter().enumerate() {
        let measure = &made.score.measures[played.measure];
        for note in measure.hand(hand).iter().filter(is_plain) {
            let at = clock.played_at(pass, note.at);
            all.extend(note.pitches.iter().map(|p| (p.midi(), at, quarters + note.at)));
        }
        quarters += measure.frame.length;
    }
    all
}

fn sound_agrees(made: &Arrangement) {
    let heard = perform(&made.score, &Performing::default());
    let first = heard.passes[0].start;
    for hand in [Hand::Left, Hand::Right] {
        for (key, at, _) in played(made, hand) {
            assert!(heard.plucks.iter().any(|p| p.pitch.midi() == key && p.at - first == at), "{key} at {at:?} is not heard");
        }
    }
}

/// When each note of a track begins, in millionths of a microsecond, with its number.
fn onsets(smf: &Smf, track: usize) -> Vec<(i32, i128)> {
    let Timing::Metrical(per_quarter) = smf.header.timing else { panic!("expected ticks a quarter note") };
    let in_ticks = |track: usize| {
        smf.tracks[track].iter().scan(0i64, |now, event| {
            *now += i64::from(event.delta.as_int());
            Some((*now, event.kind))
        })
    };
    let mut tempos: Vec<(i64, i64)> = Vec::new();
    for (at, kind) in in_ticks(0) {
        if let TrackEventKind::Meta(MetaMessage::Tempo(micros)) = kind {
            tempos.push((at, i64::from(micros.as_int())));
        }
    }
    let time = |tick: i64| {
        let ends = tempos.iter().skip(1).map(|t| t.0).chain([i64::MAX]);
        let spans = tempos.iter().zip(ends).filter(|((from, _), _)| *from < tick);
        let micros: i128 = spans.map(|((from, micros), to)| i128::from(to.min(tick) - from) * i128::from(*micros)).sum();
        micros * 1_000_000 / i128::from(per_quarter.as_int())
    };
    let begun = in_ticks(track).filter_map(|(at, kind)| match kind {
        TrackEventKind::Midi { message: MidiMessage::NoteOn { key, .. }, .. } => Some((i32::from(key.as_int()), time(at))),
        _ => None,
    });
    begun.collect()
}

fn midi_agrees(made: &Arrangement) {
    let bytes = formats::midi::write(&made.score);
    let smf = Smf::parse(&bytes).expect("a MIDI file");
    for (track, hand) in [(1, Hand::Right), (2, Hand::Left)] {
        let begun = onsets(&smf, track);
        for (key, at, quarters) in played(made, hand) {
            let most = 1_000_000 + 500_000 * i128::from(quarters.div_floor(Beats::QUARTER));
            let near = |b: &&(i32, i128)| b.0 == key && (b.1 - i128::from(at.micros()) * 1_000_000).abs() <= most;
            assert!(begun.iter().any(|b| near(&b)), "{key} at {at:?}, {quarters} quarters on, in {begun:?}");
        }
    }
}

/// The printed marks played through on the clock: they give what is written, and the left hand plucks nothing while it moves a lever. How many moves there are.
fn levers_agree(made: &Arrangement) -> usize {
    assert_eq!(replay(&made.score, &made.plan.settled.page.opening, &Instrument::lever_34()), []);
    let clock = Clock::of_score(&made.score);
    let MoveTimes { lever, away, back, .. } = MoveTimes::of(Player::default().fluency);
    let plucks: Vec<Seconds> = played(made, Hand::Left).into_iter().map(|p| p.1).collect();
    let mut moves = 0;
    for (pass, of) in clock.played().iter().enumerate() {
        for mark in made.score.measures[of.measure].marks.iter().filter(|m| matches!(m.mark, Mark::Lever(_))) {
            moves += 1;
            let at = clock.played_at(pass, mark.at);
            let busy = plucks.iter().find(|p| **p > at - away && **p < at + lever + back);
            assert_eq!(busy, None, "a lever is moved at {at:?} while the hand plucks");
        }
    }
    moves
}

#[test]
fn a_change_of_tempo_is_the_same_for_all() {
    for tune in [HALF_AS_FAST, TWICE_AS_FAST, IN_WORDS, WITH_LEVERS] {
        for many in [1, 2] {
            let made = arranged(tune, &verses(many));
            page_agrees(&made);
            sound_agrees(&made);
            midi_agrees(&made);
            let moves = levers_agree(&made);
            assert!(moves >= 2 * many || tune != WITH_LEVERS, "{moves} moves");
        }
    }
}

/// Arithmetic: at 120 a measure of four lasts 2 s, at 60 4 s. After the repeat, and in the second verse, the first measures go at 120 again.
#[test]
fn each_pass_takes_the_time_of_its_place() {
    let seconds = |made: &Arrangement| -> Vec<i64> {
        let heard = perform(&made.score, &Performing::default());
        heard.passes.iter().map(|p| (p.start - heard.passes[0].start).micros()).map(|m| m / 1_000_000).collect()
    };
    let once = arranged(HALF_AS_FAST, &verses(1));
    assert_eq!(seconds(&once), [0, 2, 4, 8, 12, 14, 16, 20]);
    let twice = arranged(HALF_AS_FAST, &verses(2));
    assert_eq!(seconds(&twice), [0, 2, 4, 8, 12, 14, 16, 20, 24, 26, 28, 32, 36, 38, 40, 44]);
    // Wished half as fast, the second tempo is 30: everything takes twice as long.
    let wished = Wishes { tempo: music::Tempo::of(Beats::QUARTER, 60), ..verses(1) };
    assert_eq!(seconds(&arranged(HALF_AS_FAST, &wished)), [0, 4, 8, 16, 24, 28, 32, 40]);
}

/// Arithmetic, with the guesses that `music::clock` states. At 100 a measure of three lasts 1.8 s. The ritardando goes from 100 to 75 in twelve eighths, in thousandths a
/// minute 97,917, 95,833, 93,750 … 75,000; 30,000,000,000 µs divided by each are together 4,193,028 µs. The fermata adds half a quarter at 75, 400,000 µs. Then a
/// measure at 100, one at 72 (2.5 s). After D.C. the first measure goes at 100 again, the second slows down again; all ends at the fine.
#[test]
fn words_and_holds_take_the_time_that_is_stated() {
    let made = arranged(IN_WORDS, &verses(1));
    let heard = perform(&made.score, &Performing::default());
    let starts: Vec<i64> = heard.passes.iter().map(|p| (p.start - heard.passes[0].start).micros()).collect();
    assert_eq!(heard.passes.iter().map(|p| p.measure).collect::<Vec<_>>(), [0, 1, 2, 3, 4, 5, 6, 0, 1, 2, 3]);
    assert_eq!((starts[1], starts[3], starts[4], starts[5]), (1_800_000, 6_393_028, 8_193_028, 10_693_028));
    assert_eq!((starts[8] - starts[7], starts[10] - starts[7]), (1_800_000, 6_393_028));
}

/// What is said of it: which measures have words that are followed by a guess, and which marks come after the opening tempo (a wish keeps their proportion to it).
#[test]
fn words_and_later_marks_are_said() {
    let said = |choices: Choices| {
        let setup = Setup::new(&Asked::of(choices)).expect("plain wishes");
        let imported = formats::read(IN_WORDS.as_bytes(), &formats::ReadOptions::default()).expect("our own tune reads");
        let job = setup
            .arrange_read(std::path::Path::new("lock.abc"), imported, desk::chords_of::ChordsOf::default())
            .expect("our own tune is arranged");
        (remarks::sentences(&job, &setup), remarks::tempo_line(&job))
    };
    let (remarks, tempo) = said(Choices::default());
    assert!(remarks.iter().any(|r| r.starts_with("Words change the tempo in measures 2 and 6, and how much is a guess")), "{remarks:?}");
    assert_eq!(tempo, "quarter note = 100, as written; in measure 5 quarter note = 72");
    let (_, wished) = said(Choices { tempo: Some("50".into()), ..Choices::default() });
    assert_eq!(wished, "quarter note = 50, as you wish; in measure 5 quarter note = 36");
}

/// Arithmetic: quarter notes of the left hand at 120 are half a second apart, at 60 a second; at 240 they are too fast for steady plucks of a fluent player (four a
/// second). So a tune at 240 in its second half is given fewer plucks there, and one that is slow there is given more.
#[test]
fn the_hand_is_planned_at_the_tempo_of_its_place() {
    let tune = |first: i64, second: i64| {
        let half = "\"C\"c4|\"F\"c4|\"G\"d4|\"C\"e4|";
        format!("X:1\nT:Slack Water\nM:4/4\nL:1/4\nQ:1/4={first}\nK:C\n{half}[Q:1/4={second}]{half}\n")
    };
    let plucks = |first: i64, second: i64| {
        let made = arranged(&tune(first, second), &Wishes { fullness: vec![6], ..Wishes::default() });
        let of = |measures: std::ops::Range<usize>| -> usize {
            made.score.measures[measures].iter().flat_map(|m| &m.left).filter(|n| n.is_plucked()).count()
        };
        (of(0..3), of(4..7))
    };
    let ((slow, fast), (quick, slower)) = (plucks(72, 300), plucks(300, 72));
    assert!(slow > fast && quick < slower, "72 then 300: {slow} then {fast}; 300 then 72: {quick} then {slower}");
}
