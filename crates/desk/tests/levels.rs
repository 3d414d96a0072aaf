//! Levels of one tune sound together: of the four tunes that come with the program on several harps, and of random tunes.

use desk::choices::Choices;
use desk::versions::levels::{Levels, levels};
use desk::versions::{Versions, together};
use desk::worktable::Worktable;
use proptest::prelude::*;
use std::path::Path;

const TUNES: [&str; 4] = [
    include_str!("../../../data/tunes/bakery-before-six.abc"),
    include_str!("../../../data/tunes/ferry-reel.abc"),
    include_str!("../../../data/tunes/lighthouse-in-mist.abc"),
    include_str!("../../../data/tunes/regatta-morning.abc"),
];

fn made(abc: &str, choices: &Choices) -> Levels {
    let versions = Versions::of_one(choices.clone());
    levels(Path::new("."), "tune.abc", abc.as_bytes(), versions.first()).expect("the tune is arranged")
}

/// Each level is what it says it is, no two are the same, and what is saved of them sounds together when it is arranged anew.
fn looked_through(abc: &str, choices: &Choices) -> Levels {
    let made = made(abc, choices);
    let mut all = vec![("mine".to_owned(), Worktable::new(Path::new("."), "tune.abc", abc.as_bytes(), choices).expect("arranged before"))];
    for level in &made.made {
        let again = Worktable::new(Path::new("."), "tune.abc", abc.as_bytes(), &level.choices).expect("arranged before");
        assert_eq!(again.job.arrangement.score, level.worktable.job.arrangement.score, "the choices are all of it");
        all.push((level.level.name.clone(), again));
    }
    let heard: Vec<(String, &Worktable)> = all.iter().map(|(name, made)| (name.clone(), made)).collect();
    let together = together::together(&heard);
    let measured: Vec<u8> = together.versions.iter().map(|v| v.level).collect();
    let said: Vec<u8> = std::iter::once(&made.base).chain(made.made.iter().map(|m| &m.level)).map(|l| l.level).collect();
    assert_eq!(measured, said);
    assert_eq!(together.told, made.clashes, "{abc}");
    let mut different = said.clone();
    different.sort_unstable();
    different.dedup();
    assert_eq!(different.len(), said.len(), "no level twice: {said:?}");
    made
}

#[test]
fn of_the_tunes_that_come_with_the_program() {
    for abc in TUNES {
        for (harp, fullness) in [("lever-34", vec![]), ("lever-34", vec![4, 5]), ("lever-27", vec![3]), ("pedal-47", vec![6])] {
            let choices = Choices { harp: harp.into(), fullness, ..Choices::default() };
            let made = looked_through(abc, &choices);
            assert_eq!(made.clashes, [""; 0], "{harp}");
            assert!(
                made.made.len() == 2,
                "{harp}: two levels beside her own, {:?}\n{}",
                made.without,
                made.words(&["a".into(), "b".into()])
            );
        }
    }
}

#[test]
fn with_a_form_and_in_another_key() {
    let mut choices = Choices { key: Some("best".into()), fullness: vec![3, 4], ..Choices::default() };
    assert_eq!(looked_through(TUNES[0], &choices).clashes, [""; 0]);
    choices.key = None;
    choices.form.introduction = Some("4".into());
    choices.form.interlude = Some("2".into());
    choices.form.ending = Some("usual".into());
    assert_eq!(looked_through(TUNES[3], &choices).clashes, [""; 0]);
    choices.form.melody_below = vec![2];
    assert_eq!(looked_through(TUNES[0], &choices).clashes, [""; 0]);
}

/// Tunes of four to eight measures with one or two chords each, some with accidentals.
fn tunes() -> impl Strategy<Value = String> {
    let note = prop::sample::select(vec!["G", "A", "B", "c", "d", "e", "f", "g", "^f", "_B"]);
    let chord = prop::sample::select(vec!["C", "F", "G7", "Am", "Dm", "Em", "C/E", "Cmaj7", "D7", "Bb", "E7", "Fmaj7"]);
    let measure = (prop::collection::vec(note, 4), chord.clone(), chord, any::<bool>());
    let measures = prop::collection::vec(measure, 4..=8);
    (measures, prop::sample::select(vec!["1/4=70", "1/4=110", "1/2=90"])).prop_map(|(measures, tempo)| {
        let mut text = format!("X:1\nT:By Chance\nM:4/4\nL:1/4\nQ:{tempo}\nK:C\n");
        for (notes, first, second, two) in measures {
            let half = if two { format!("\"{second}\"") } else { String::new() };
            text += &format!("\"{first}\"{} {} {half}{} {} | ", notes[0], notes[1], notes[2], notes[3]);
        }
        text.trim_end().to_owned() + "]\n"
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn of_any_tune(abc in tunes()) {
        let made = looked_through(&abc, &Choices::default());
        prop_assert_eq!(&made.clashes, &Vec::<String>::new());
    }
}
