//! A thousand sheets of each level: every one is read without a word, keeps the rules of its level, can be played, and begins like no other.

use formats::{Imported, ReadOptions};
use harp::Instrument;
use music::{Beats, Harmony, Pitch};
use practice::sight::{LEVELS, Level, sheet};
use std::collections::{BTreeMap, BTreeSet};

const SHEETS: u32 = 1_000;

fn read(abc: &str) -> Imported {
    formats::read(abc.as_bytes(), &ReadOptions::default()).unwrap_or_else(|e| panic!("{e}\n{abc}"))
}

fn in_sixteenths(length: Beats) -> i64 {
    let (n, d) = length.fraction();
    n * 4 / d
}

#[test]
fn a_thousand_sheets_of_each_level_keep_its_rules() {
    for level in &LEVELS {
        let mut beginnings = BTreeSet::new();
        for number in 1..=SHEETS {
            let abc = sheet(level.number, number).expect("a sheet").abc();
            let imported = read(&abc);
            assert!(imported.diagnostics.is_empty(), "{:?}\n{abc}", imported.diagnostics);
            keeps_the_rules(level, &imported, &abc);
            let sheet = &imported.sheet;
            let whole = sheet.measures.iter().filter(|m| m.frame.number.count > 0).take(4);
            let beginning: Vec<String> = whole.map(|m| music::text::show(&m.notes)).collect();
            assert!(beginnings.insert(beginning), "level {} number {number} begins like another\n{abc}", level.number);
        }
    }
}

fn keeps_the_rules(level: &Level, imported: &Imported, abc: &str) {
    let sheet = &imported.sheet;
    let whole: Vec<_> = sheet.measures.iter().filter(|m| m.frame.number.count > 0).collect();
    assert_eq!(whole.len(), level.measures, "{abc}");
    let key = &whole[0].frame.key;
    assert!(level.keys.iter().any(|s| (s.0, s.1) == (key.fifths, key.mode)), "{abc}");
    let notes: Vec<_> = sheet.measures.iter().flat_map(|m| &m.notes).collect();
    assert!(notes.iter().all(|n| n.pitches.len() == 1), "a melody has no rests and no chords\n{abc}");
    let pitches: Vec<Pitch> = notes.iter().map(|n| n.pitches[0]).collect();
    // The last note is the tonic: from there steps are counted.
    let tonic = pitches[pitches.len() - 1];
    assert_eq!(tonic.name(), key.tonic(), "{abc}");
    let steps: Vec<i32> = pitches.iter().map(|p| p.position()).collect();
    let (low, high) = (steps.iter().min().expect("notes"), steps.iter().max().expect("notes"));
    assert!(high - low <= level.range.1 - level.range.0, "{abc}");
    let sizes: Vec<usize> = sheet.measures.iter().map(|m| m.notes.len()).collect();
    let pickup = sheet.measures.len() - whole.len();
    let seams: Vec<usize> = (1..level.measures / 4).map(|phrase| sizes[..pickup + phrase * 4].iter().sum()).collect();
    for (at, pair) in pitches.windows(2).enumerate() {
        let (step, sounds) = ((pair[1].position() - pair[0].position()).abs(), (pair[1].midi() - pair[0].midi()).abs());
        // Where a phrase begins with what was heard before, the seam may be any interval of the range.
        assert!(step <= level.leap || seams.contains(&(at + 1)), "{step}\n{abc}");
        assert!(seams.contains(&(at + 1)) || !(step == 1 && sounds == 3), "a step of three half steps\n{abc}");
    }
    assert!(notes.iter().all(|n| in_sixteenths(n.length) >= i64::from(level.shortest)), "{abc}");
    let harp = Instrument::lever_34();
    let mut strings: BTreeMap<i32, i32> = BTreeMap::new();
    for pitch in &pitches {
        assert!(harp.can_sound(*pitch), "{pitch} \n{abc}");
        assert_eq!(*strings.entry(pitch.position()).or_insert(pitch.alter), pitch.alter, "a lever would have to be moved\n{abc}");
    }
    for measure in &whole {
        let chords = &measure.frame.chords;
        let most = if level.two_chords > 0 { 2 } else { 1 };
        assert!((1..=most).contains(&chords.len()), "{abc}");
        for placed in chords {
            let Harmony::Chord(chord) = &placed.symbol.harmony else { panic!("no chord\n{abc}") };
            let note = measure.notes.iter().find(|n| n.at == placed.at).unwrap_or_else(|| panic!("no note where a chord begins\n{abc}"));
            assert!(
                chord.pitch_classes().contains(&note.pitches[0].pitch_class()),
                "{} over {}\n{abc}",
                note.pitches[0],
                placed.symbol.harmony
            );
        }
    }
}

/// Of each level some go all the way: a left hand is made and the check finds nothing that cannot be played.
#[test]
fn sheets_can_be_played_with_both_hands() {
    let (figures, harp, player) = (arrange::Figures::own(), Instrument::lever_34(), harp::Player::default());
    for level in &LEVELS {
        for number in (1..=SHEETS).step_by(97) {
            let abc = sheet(level.number, number).expect("a sheet").abc();
            let made = arrange::arrange(&read(&abc).sheet, &figures, &harp, &player, &arrange::Wishes::default()).expect("arranged");
            let scene = check::rules::Scene::new(&made.score, &harp, &player);
            let cannot: Vec<String> =
                check::rules::all(&scene).into_iter().filter(|f| f.gravity == check::Gravity::Cannot).map(|f| f.text).collect();
            assert!(cannot.is_empty(), "{cannot:?}\n{abc}");
        }
    }
}

#[test]
fn a_number_comes_back_and_there_are_bounds() {
    assert_eq!(sheet(3, 17), sheet(3, 17));
    assert_ne!(sheet(3, 17), sheet(3, 18));
    assert!(sheet(0, 1).is_none() && sheet(6, 1).is_none() && sheet(1, 0).is_none() && sheet(1, practice::sight::MOST + 1).is_none());
}
