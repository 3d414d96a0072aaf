use super::*;
use crate::phrases::breaths::breaths;
use music::text::sheet;
use music::{Seconds, Tempo};
use proptest::prelude::*;

fn clock(tune: &LeadSheet, quarters: i64) -> Clock {
    Clock::of_sheet(tune, Tempo::of(Beats::QUARTER, quarters).expect("in range"))
}

fn thinned(tune: &mut LeadSheet, quarters: i64, pace: &Pace) -> Vec<Dropped> {
    let (clock, breaths) = (clock(tune, quarters), breaths(tune));
    thin(tune, &Task { clock: &clock, breaths: &breaths, pace, stays: &|_, _| false })
}

fn show(tune: &LeadSheet) -> String {
    let chords =
        |m: &music::SheetMeasure| m.frame.chords.iter().map(|c| format!("{}@{}", c.symbol.harmony, c.at)).collect::<Vec<_>>().join(" ");
    tune.measures.iter().map(chords).collect::<Vec<_>>().join(" | ")
}

fn check(text: &str, most: usize, expected: &str, reasons: &[&str]) {
    let mut tune = sheet(text);
    let pace = Pace::wished(&tune, &clock(&tune, 90), most);
    let dropped = thinned(&mut tune, 90, &pace);
    assert_eq!(show(&tune), expected);
    assert_eq!(dropped.iter().map(Dropped::to_string).collect::<Vec<_>>(), reasons);
}

/// Common practice: the strong beats of four-four keep their chords, what passes between them goes.
#[test]
fn strong_beats_stay_and_what_passes_goes() {
    check(
        r#"4/4 C | "C"E4:1 "G"D4:1 "Am"C4:1 "Em"B3:1 | "F"A3:2 "G"B3:2 | "C"C4:4 |"#,
        2,
        "C@0 Am@2 | F@0 G@2 | C@0",
        &["measure 1: G stands on a weak beat", "measure 1: Em stands on a weak beat"],
    );
}

/// Harmony textbooks: the six-four before a dominant is the dominant's own delay.
#[test]
fn a_cadence_with_a_six_four_is_kept_as_dominant_and_tonic() {
    let mut tune = sheet(r#"4/4 C | "F"A4:2 "C"@2 G4:1 "G7"@3 F4:1 | "C"E4:4 |"#);
    if let music::Harmony::Chord(six_four) = &mut tune.measures[0].frame.chords[1].symbol.harmony {
        six_four.bass = Some(music::PitchName::new(music::Step::G, 0));
    }
    let pace = Pace::wished(&tune, &clock(&tune, 90), 2);
    let dropped = thinned(&mut tune, 90, &pace);
    assert_eq!(show(&tune), "F@0 G7@3 | C@0");
    assert_eq!(dropped[0].to_string(), "measure 1: C/G only delays G7");
}

#[test]
fn a_chord_that_only_comes_back_goes_on() {
    check(
        r#"4/4 C | "C"G4:1 "G7"F4:1 "C"E4:1 "F"F4:1 | "G"D4:4 | "C"C4:4 |"#,
        2,
        "C@0 F@3 | G@0 | C@0",
        &["measure 1: G7 stands on a weak beat", "measure 1: C goes on from before"],
    );
}

#[test]
fn a_measure_within_its_number_loses_nothing() {
    let text = r#"4/4 C | "C"G4:1 "G7"F4:3 | "F"A4:1 "C"G4:3 | "C"C4:4 |"#;
    check(text, 2, &show(&sheet(text)), &[]);
}

/// A last measure that only completes the pickup closes with both its chords.
#[test]
fn a_close_in_a_short_measure_keeps_both_chords() {
    let mut tune = sheet(r#"4/4 C |( "C"G4:2 | "F"A4:1 "C"G4:1 "Dm"F4:1 "G"D4:1 | "G7"D4:1 "C"C4:1 |"#);
    let clock = clock(&tune, 110);
    let pace = Pace::of_player(&tune, &clock, Seconds::from_millis(1000));
    thinned(&mut tune, 110, &pace);
    assert_eq!(show(&tune), "C@0 | F@0 Dm@2 | G7@0 C@1");
}

/// What a wish keeps is kept beyond the number, and leaves the others their room.
#[test]
fn what_is_brought_back_stays() {
    let mut tune = sheet(r#"4/4 C | "C"E4:1 "G"D4:1 "Am"C4:1 "Em"B3:1 | "C"C4:4 |"#);
    let (clock, pace) = (clock(&tune, 90), Pace { most: vec![2, 2], needs: vec![Seconds::from_millis(1000); 2] });
    let stays = |measure: usize, c: &PlacedChord| measure == 0 && c.at == Beats::quarters(3, 1).expect("a place");
    let task = Task { clock: &clock, breaths: &[], pace: &pace, stays: &stays };
    thin(&mut tune, &task);
    assert_eq!(show(&tune), "C@0 Em@3 | C@0");
}

/// Habits: one or two chords a measure, none on every beat. A slow hand needs 2 s for a chord, a fluent one 1 s.
#[test]
fn room_comes_with_the_tempo() {
    let most = |text: &str, quarters: i64, needs: i64| {
        let tune = sheet(text);
        Pace::of_player(&tune, &clock(&tune, quarters), Seconds::from_millis(needs)).most
    };
    let (four, three, six) = ("4/4 C |( C4:1 | C4:4 |", "3/4 C | C4:3 |", "6/8 C | C4:3 |");
    assert_eq!([80, 100, 120].map(|q| most(four, q, 1000)), [[2, 2], [2, 2], [2, 2]]);
    assert_eq!((most(four, 100, 2000), most(four, 40, 1000), most(four, 160, 1000)), (vec![1, 1], vec![3, 3], vec![1, 1]));
    assert_eq!((most(three, 80, 1000), most(three, 100, 1000)), (vec![2], vec![1]));
    assert_eq!((most(six, 75, 1000), most(six, 150, 1000)), (vec![2], vec![1]));
}

#[test]
fn only_basses_that_make_a_line_are_kept() {
    let mut tune = sheet(r#"4/4 C | "C"C5:1 "G"@1 D5:1 "Am"@2 C5:1 "C"@3 C5:1 | "G7"B4:2 "F"A4:2 | "C"C5:4 |"#);
    let bass = |tune: &mut LeadSheet, m: usize, i: usize, step| {
        let placed = &mut tune.measures[m].frame.chords[i];
        placed.origin = music::ChordOrigin::Ours;
        if let music::Harmony::Chord(chord) = &mut placed.symbol.harmony {
            chord.bass = Some(music::PitchName::new(step, 0));
        }
    };
    bass(&mut tune, 0, 1, music::Step::B);
    bass(&mut tune, 0, 3, music::Step::G);
    bass(&mut tune, 1, 1, music::Step::A);
    basses_that_matter(&mut tune);
    assert_eq!(show(&tune), "C@0 G/B@1 Am@2 C/G@3 | G7@0 F/A@2 | C@0");
    bass(&mut tune, 2, 0, music::Step::E);
    basses_that_matter(&mut tune);
    assert_eq!(show(&tune), "C@0 G/B@1 Am@2 C/G@3 | G7@0 F/A@2 | C@0");
}

const NAMES: [&str; 8] = ["C", "G", "Am", "F", "Dm", "G7", "Em", "D7"];

/// A tune of quarter notes with any of eight chords on some of them.
fn tunes(measures: usize) -> impl Strategy<Value = LeadSheet> {
    let beat = (0usize..8, prop::option::weighted(0.7, 0usize..NAMES.len()));
    prop::collection::vec(prop::collection::vec(beat, 4), 1..=measures).prop_map(|measures| {
        let scale = ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5"];
        let note = |(pitch, chord): &(usize, Option<usize>)| {
            chord.map_or_else(|| format!("{}:1", scale[*pitch]), |c| format!("\"{}\"{}:1", NAMES[c], scale[*pitch]))
        };
        let text: Vec<String> = measures.iter().map(|m| m.iter().map(note).collect::<Vec<_>>().join(" ")).collect();
        sheet(&format!("4/4 C | {} |", text.join(" | ")))
    })
}

proptest! {
    /// Never more than the number; what stays was there; the last chord is one of it; with it gone nothing else would go.
    #[test]
    fn laws(tune in tunes(6), most in 1usize..4) {
        let mut thinner = tune.clone();
        let pace = Pace::wished(&tune, &clock(&tune, 90), most);
        let dropped = thinned(&mut thinner, 90, &pace);
        for (given, kept) in tune.measures.iter().zip(&thinner.measures) {
            let (given, kept) = (&given.frame.chords, &kept.frame.chords);
            prop_assert!(kept.len() <= most && kept.iter().all(|c| given.contains(c)));
            prop_assert!(given.len() > most || given == kept);
        }
        let all = |t: &LeadSheet| t.measures.iter().flat_map(|m| m.frame.chords.clone()).collect::<Vec<_>>();
        prop_assert_eq!(all(&tune).len(), all(&thinner).len() + dropped.len());
        prop_assert_eq!(all(&tune).pop(), all(&thinner).pop());
        prop_assert_eq!(thinned(&mut thinner, 90, &pace), vec![]);
    }

    /// No other choice is worth more, all of them tried.
    #[test]
    fn the_search_finds_the_best(tune in tunes(3), most in 1usize..4) {
        let (clock, breaths, pace) = (clock(&tune, 90), breaths(&tune), Pace::wished(&tune, &clock(&tune, 90), most));
        let given = given::given(&tune, &Task { clock: &clock, breaths: &breaths, pace: &pace, stays: &|_, _| false });
        let choices = (0..1u32 << given.len()).map(|bits| (0..given.len()).map(|i| bits >> i & 1 == 1).collect::<Vec<bool>>());
        let best = choices.filter_map(|kept| search::value(&given, &kept)).max();
        prop_assert_eq!(search::value(&given, &search::search(&given)), best);
    }
}
