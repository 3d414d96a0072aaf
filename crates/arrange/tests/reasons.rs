//! What is said of a measure is true of its notes, and not the same in every measure. The tunes are the demo tunes and some of our own.

use arrange::{Decision, Figures, Wishes, WrittenBass, arrange};
use harp::{Instrument, Player};
use music::{LeadSheet, Pitch, PitchName};

const TUNES: [&str; 3] = [
    r#"3/4 G | "G" B4:2 D5:1 | "D7" A4:2 C5:1 | "G" B4:1 D5:1 G5:1 | "C" E5:3 | "Am" C5:2 E5:1 | "D7" D5:1 C5:1 A4:1 | "G" B4:1 A4:1 G4:1 | "G" G4:3 | "G" B4:2 D5:1 | "D7" A4:2 C5:1 | "Em" B4:1 D5:1 G5:1 | "C7" E5:3 | "F" C5:2 A4:1 | "D7" D5:1 C5:1 A4:1 | "D7" F#4:2 A4:1 | "G" G4:3 |"#,
    r#"4/4 C | "C" G4:1 A4:1 B4:1 C5:1 | "C7" C5:4 | "F" A4:2 C5:2 | "G7" B4:2 D5:2 | "Am7" C5:4 | "Dm7" D5:1 E5:1 F5:1 D5:1 | "G7" B4:4 | "C" C5:4 |"#,
    r#"4/4 C | "C/E" G4:2 E5:2 | "F" A4:4 | "G/B" D5:2 B4:2 | "C" C5:4 | "C/E" E5:2 G4:2 | "Dm/F" A4:4 | "G7/F" B4:1 C5:1 D5:1 F5:1 | "C/E" E5:4 | "G7" D5:2 F5:2 | "C" E5:4 |"#,
];

const DEMOS: [&str; 4] = [
    include_str!("../../../data/tunes/bakery-before-six.abc"),
    include_str!("../../../data/tunes/ferry-reel.abc"),
    include_str!("../../../data/tunes/lighthouse-in-mist.abc"),
    include_str!("../../../data/tunes/regatta-morning.abc"),
];

fn told(sheet: &LeadSheet, wishes: &Wishes) -> Vec<Decision> {
    let (figures, harp, player) = (Figures::own(), Instrument::lever_34(), Player::default());
    let made = arrange(sheet, &figures, &harp, &player, wishes).expect("a short tune is arranged");
    made.decisions(&figures, &harp, &player, wishes)
}

fn all() -> Vec<Vec<Decision>> {
    let wishes = |fullness| Wishes { fullness: vec![fullness], ..Wishes::default() };
    let own = TUNES.iter().flat_map(|tune| [2, 3, 4].map(|fullness| told(&music::text::sheet(tune), &wishes(fullness))));
    let demo = DEMOS.iter().map(|tune| {
        let read = formats::read(tune.as_bytes(), &formats::ReadOptions::default()).expect("a demo tune reads");
        told(&read.sheet, &wishes(3))
    });
    own.chain(demo).collect()
}

/// The strings of a decision in their order.
fn strings(decision: &Decision) -> Vec<Pitch> {
    decision.notes.split([' ', '+']).filter_map(|p| Pitch::parse(p.trim_start_matches('~'))).collect()
}

fn name(text: &str) -> PitchName {
    let pitch = Pitch::parse(&format!("{}3", text.replace('♯', "#").replace('♭', "b"))).unwrap_or_else(|| panic!("{text} is no tone"));
    pitch.name()
}

/// The word before and the word after some words.
fn around<'t>(text: &'t str, words: &str) -> Option<(&'t str, &'t str)> {
    let (before, after) = text.split_once(words)?;
    Some((before.rsplit(' ').next()?, after.split([' ', ';', '.', ',']).next()?))
}

#[test]
fn a_bass_that_is_named_is_plucked_first() {
    let mut said = 0;
    for decision in all().iter().flatten() {
        for clause in decision.why.trim_end_matches('.').split("; ") {
            if let Some((before, _)) = clause.split_once(" in the bass") {
                let named = name(before.trim_end_matches(" stays").rsplit(' ').next().unwrap_or_default().trim_end_matches(','));
                assert_eq!(strings(decision)[0].name(), named, "{}: {}", decision.why, decision.notes);
                said += 1;
            }
        }
    }
    assert!(said > 10, "{said}");
}

/// Common practice: a seventh falls by step.
#[test]
fn a_seventh_that_is_said_to_fall_falls() {
    let mut said = 0;
    for decisions in all() {
        for pair in decisions.windows(2) {
            let why = pair[0].why.replace("the seventh, ", "the seventh ").replace(", falls", " falls");
            let Some((from, to)) = around(&why, " falls to ") else { continue };
            let (from, to) =
                (if from == "seventh" { around(&why, " in the bass: the seventh").map_or("", |a| a.0) } else { from }, name(to));
            let from = name(from);
            let falls = strings(&pair[0])
                .iter()
                .filter(|p| p.name() == from)
                .any(|p| strings(&pair[1]).iter().any(|q| q.name() == to && q.position() == p.position() - 1));
            assert!(falls, "{}: {} then {}", pair[0].why, pair[0].notes, pair[1].notes);
            said += 1;
        }
    }
    assert!(said > 2, "{said}");
}

#[test]
fn a_walk_goes_as_it_is_told_and_a_rising_chord_rises() {
    let mut risen = 0;
    for decisions in all() {
        for (at, decision) in decisions.iter().enumerate() {
            if let Some((_, walk)) = decision.why.split_once(" by step: ") {
                let names: Vec<PitchName> = walk.split([';', '.']).next().unwrap_or_default().split(' ').map(name).collect();
                let plucked: Vec<PitchName> = decisions[at..].iter().take(names.len()).map(|d| strings(d)[0].name()).collect();
                assert_eq!(plucked, names, "{}", decision.why);
            }
            if decision.why.contains("a rising chord fills it") {
                let lows: Vec<i32> =
                    decision.notes.split(' ').filter_map(|p| Pitch::parse(p.split('+').next()?)).map(|p| p.position()).collect();
                assert!(lows.windows(2).filter(|p| p[1] > p[0]).count() >= 1, "{}: {}", decision.why, decision.notes);
                risen += 1;
            }
        }
    }
    assert!(risen > 0);
}

/// Two notes that walk both go by step, the same way, to the bass that follows.
#[test]
fn what_walks_arrives() {
    let mut walked = 0;
    for decisions in all() {
        for pair in decisions.windows(2) {
            let strings = strings(&pair[0]);
            if pair[0].why.contains(" walk to the ") {
                let [.., one, two] = strings.as_slice() else { panic!("{}", pair[0].notes) };
                let next = self::strings(&pair[1])[0].position();
                assert_eq!(two.position() - one.position(), next - two.position(), "{}: {}", pair[0].why, pair[0].notes);
                walked += 1;
            }
        }
    }
    assert!(walked > 0);
}

/// No sentence is said in two measures running, and none in more than a third of a tune.
#[test]
fn no_sentence_says_the_same_in_every_measure() {
    for decisions in all() {
        let said: Vec<&str> = decisions.iter().filter(|d| d.notes != "rest").map(|d| d.why.as_str()).collect();
        for pair in said.windows(2) {
            assert_ne!(pair[0], pair[1]);
        }
        for one in &said {
            assert!(said.iter().filter(|other| *other == one).count() * 3 <= said.len(), "{one}: {said:?}");
        }
    }
}

#[test]
fn no_price_stands_in_a_sentence() {
    for decision in all().iter().flatten() {
        let second = decision.second.clone().unwrap_or_default();
        for text in [&decision.why, &second].into_iter().chain(decision.alternatives.iter().map(|a| &a.why_not)) {
            assert!(!text.contains("price") && !text.contains("dearer"), "{text}");
        }
        for other in &decision.alternatives {
            assert!(["as good", "a little less good", "clearly less good", "would clash"].contains(&other.worth.to_string().as_str()));
        }
    }
}

#[test]
fn a_written_bass_is_kept_on_wish_and_leaving_it_is_said() {
    let sheet = music::text::sheet(TUNES[2]);
    let slash = |decisions: &[Decision]| -> Vec<(String, PitchName, String)> {
        let with = decisions.iter().filter(|d| d.chord.contains('/') && d.notes != "rest");
        with.map(|d| (d.chord.clone(), strings(d)[0].name(), d.why.clone())).collect()
    };
    for fullness in [1, 3, 5] {
        let wishes = Wishes { fullness: vec![fullness], ..Wishes::default() };
        for (chord, low, why) in slash(&told(&sheet, &wishes)) {
            let written = name(chord.split('/').nth(1).unwrap_or_default());
            let left = low != written;
            assert_eq!(why.contains(&format!("instead of the written {written:#}: ")), left, "{chord}: {why}");
        }
        let kept = Wishes { bass: WrittenBass::Kept, ..wishes };
        let slash = slash(&told(&sheet, &kept));
        assert_eq!(slash.len(), 6);
        for (chord, low, why) in slash {
            assert_eq!(low, name(chord.split('/').nth(1).unwrap_or_default()), "{chord}: {why}");
        }
    }
}
