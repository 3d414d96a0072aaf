//! The worked examples of the harp facts, 43 to 54, as findings on a page, and what each rule must leave alone.

mod pages;

use check::{Gravity, Rule};
use harp::Instrument;
use music::{Mark, Pitch, PlacedMark, Score};
use pages::{gravity, page, pedal_47, report, said, with_chords};

/// A chord of the left hand under a tune far away, so that the left hand takes it whole.
fn left(chord: &str) -> Score {
    page(60, &[("[C6+E6+G6]:4", &format!("{chord}:4"))])
}

/// Examples 43 to 45 (arithmetic; 45 also Hoffmann's notes on low-interval limits).
#[test]
fn open_shapes_are_left_alone() {
    for chord in ["[C2+G2+C3]", "[C2+G2+E3]", "[C3+E3+G3]"] {
        assert_eq!(said(&left(chord), &Instrument::lever_34()), [], "{chord}");
    }
}

/// Examples 46 and 47 (Hoffmann's notes on low-interval limits).
#[test]
fn low_triads_are_worth_a_look() {
    for chord in ["[A2+C3+E3]", "[F2+A2+C3]"] {
        assert_eq!(said(&left(chord), &Instrument::lever_34()), [(Gravity::Look, Rule::LowInterval)], "{chord}");
    }
}

/// Example 48 (Hoffmann's notes): the first inversion of A minor from C3, once its root is imagined below.
#[test]
fn an_implied_root_counts() {
    let score = left("[C3+E3+A3]");
    assert_eq!(gravity(&score, &Instrument::lever_34(), Rule::LowInterval), None);
    assert_eq!(gravity(&with_chords(score, &["Am"]), &Instrument::lever_34(), Rule::LowInterval), Some(Gravity::Look));
}

/// Example 49 (The Harp Legacy Project; Freund and Cutler): the wide gap belongs beside the thumb.
#[test]
fn the_wide_gap_beside_the_thumb() {
    assert_eq!(gravity(&left("[C3+D3+E3+E4]"), &pedal_47(), Rule::Strain), None);
    assert_eq!(gravity(&left("[C3+C4+D4+E4]"), &pedal_47(), Rule::Strain), Some(Gravity::Look));
}

/// Example 50 (Rimsky-Korsakov): five notes for one hand; shared between both they are played.
#[test]
fn five_notes_for_one_hand() {
    assert_eq!(gravity(&left("[C2+G2+C3+E3+G3]"), &pedal_47(), Rule::TooManyNotes), Some(Gravity::Cannot));
    let free = page(60, &[("r:4", "[C3+E3+G3+C4+E4]:4")]);
    assert_eq!(gravity(&free, &pedal_47(), Rule::TooManyNotes), None);
    let near = page(60, &[("[C5+E5]:4", "[C3+E3+G3+C4+E4]:4")]);
    assert_eq!(gravity(&near, &pedal_47(), Rule::TooManyNotes), None);
    let rolled = page(60, &[("[C6+E6+G6]:4", "~[C2+G2+C3+E3+G3]:4")]);
    assert_eq!(gravity(&rolled, &pedal_47(), Rule::TooManyNotes), Some(Gravity::Hard));
}

/// Harp facts 3.1: eight notes in all.
#[test]
fn nine_notes_at_once() {
    let nine = page(60, &[("[C4+E4+G4+C5]:4", "[C2+G2+C3+E3+G3]:4")]);
    assert_eq!(gravity(&nine, &pedal_47(), Rule::TooManyNotes), Some(Gravity::Cannot));
    let eight = page(60, &[("[C4+E4+G4+C5]:4", "[C2+G2+C3+E3]:4")]);
    assert_eq!(gravity(&eight, &pedal_47(), Rule::TooManyNotes), None);
}

/// Example 51 (Harp Notation manual): eleven strings fail as a block and are allowed rolled; an unmarked wide chord is always broken.
#[test]
fn an_eleventh_is_rolled() {
    assert_eq!(gravity(&left("[C3+F4]"), &pedal_47(), Rule::Reach), Some(Gravity::Look));
    assert_eq!(gravity(&left("~[C3+F4]"), &pedal_47(), Rule::Reach), None);
    assert_eq!(gravity(&left("[C3+E4]"), &pedal_47(), Rule::Reach), None);
}

/// Example 52 (Freund and Cutler; sources differ, so hard and no more): eight low notes bring the right hand down to E2; alone, E2 is the left hand's.
#[test]
fn the_right_hand_below_g2() {
    let low = page(60, &[("[E2+F2+G2+A2]:4", "[A1+B1+C2+D2]:4")]);
    assert_eq!(gravity(&low, &pedal_47(), Rule::RightHandLow), Some(Gravity::Hard));
    assert_eq!(gravity(&page(60, &[("E2:4", "r:4")]), &pedal_47(), Rule::RightHandLow), None);
}

/// Examples 53 and 54 (Volpé Bligh; Harp Notation manual): G and A are of one foot, D and G of two. The first chord has a note on every letter, so that none
/// of them can be had otherwise.
#[test]
fn pedals_of_one_foot() {
    let move_to = |tempo: i64, after: &str| page(tempo, &[(&format!("[E4+F4+Gb4]:1 [{after}]:3"), "[Ab3+B3+C4+Db4]:1 r:3")]);
    assert_eq!(gravity(&move_to(240, "G4+A4"), &pedal_47(), Rule::MoveWithoutTime), Some(Gravity::Hard));
    assert_eq!(gravity(&move_to(240, "D4+G4"), &pedal_47(), Rule::MoveWithoutTime), None);
    assert_eq!(gravity(&move_to(30, "G4+A4"), &pedal_47(), Rule::MoveWithoutTime), None);
}

/// Harp facts 1.4, examples 21 and 22 (Canton and Overlach): C, C-sharp, D together can be set; G, G-sharp, A cannot.
#[test]
fn the_only_impossible_trichord() {
    assert_eq!(said(&page(60, &[("[C5+C#5+D5]:4", "r:4")]), &pedal_47()), []);
    let impossible = report(&page(60, &[("[G4+G#4+A4]:4", "r:4")]), &pedal_47());
    let rules: Vec<_> = impossible.findings.iter().map(|f| (f.gravity, f.rule)).collect();
    assert_eq!(rules, [(Gravity::Cannot, Rule::Together)]);
    assert!(impossible.findings[0].repairs.len() >= 2, "{:?}", impossible.findings[0].repairs);
    assert_eq!(gravity(&page(60, &[("~[G4+G#4+A4]:4", "r:4")]), &pedal_47(), Rule::Together), Some(Gravity::Hard), "rolled");
}

/// Harp facts 2.2 (arithmetic): a lever acts on one string, so C3 and C-sharp 4 sound together on a lever harp; a pedal acts on all.
#[test]
fn levers_are_alone() {
    let tuned_in_c = Instrument::new(
        "in C".into(),
        Pitch::parse("C2").expect("a pitch"),
        34,
        harp::Tuning([0; 7]),
        harp::Mechanism::Levers(music::Step::ALL.to_vec()),
    )
    .expect("a harp");
    assert_eq!(said(&page(60, &[("C#5:4", "[C3+G3]:4")]), &tuned_in_c), []);
    assert_eq!(said(&page(60, &[("C#5:4", "[C3+G3]:4")]), &pedal_47()), [], "D-flat has it");
    let three = page(60, &[("[G#5+A5]:4", "[C3+G3]:4")]);
    assert_eq!(said(&three, &tuned_in_c), []);
    assert_eq!(gravity(&three, &pedal_47(), Rule::Together), Some(Gravity::Cannot), "G, G-sharp and A");
}

/// Arithmetic: 34 strings from C2 end at A6.
#[test]
fn strings_that_are_not_there() {
    let score = page(60, &[("C7:4", "B1:4")]);
    assert_eq!(said(&score, &Instrument::lever_34()), [(Gravity::Cannot, Rule::NoString); 1]);
    assert_eq!(report(&score, &Instrument::lever_34()).counts[&(Gravity::Cannot, Rule::NoString)], 2);
    assert_eq!(said(&score, &pedal_47()), []);
    let mut grace = page(60, &[("A6:4", "C2:4")]);
    let pitches = vec![Pitch::parse("C7").expect("a pitch")];
    grace.measures[0].right[0].grace.push(music::Grace { pitches, value: 8, slashed: true });
    assert_eq!(said(&grace, &Instrument::lever_34()), [(Gravity::Cannot, Rule::NoString)]);
}

/// Harp facts 2.3: E-flat tuning has D-flat only as C-sharp: beside C natural on that string it needs a lever move, and without time it is hard.
#[test]
fn a_lever_without_time() {
    let quick = page(120, &[("C5:1/4 Db5:1/4 C5:1/4 Db5:1/4 C5:3", "[C3+G3]:1/2 [E3+C4]:1/2 G3:3")]);
    assert_eq!(gravity(&quick, &Instrument::lever_34(), Rule::MoveWithoutTime), Some(Gravity::Hard));
    let slow = page(60, &[("C5:2 r:2", "[C3+G3]:2 r:2"), ("Db5:4", "r:4")]);
    assert_eq!(gravity(&slow, &Instrument::lever_34(), Rule::MoveWithoutTime), None);
}

/// The page's own marks are kept where they give every pitch, and said where they do not.
#[test]
fn printed_marks_are_followed() {
    let marked = |name: &str| {
        let mut score = page(60, &[("[F5+G5]:4", "r:4"), ("[F#5+G5]:4", "r:4")]);
        let pitch = Pitch::parse(name).expect("a pitch");
        score.measures[1].marks.push(PlacedMark::new(music::Beats::ZERO, None, Mark::Pedal(pitch.name())));
        score
    };
    assert_eq!(gravity(&marked("F#5"), &pedal_47(), Rule::PrintedMarks), None);
    assert_eq!(report(&marked("F#5"), &pedal_47()).moves, 1);
    let missing = report(&marked("Fb5"), &pedal_47());
    let said = missing.findings.iter().find(|f| f.rule == Rule::PrintedMarks).expect("a finding");
    assert!(said.repairs.iter().any(|r| r.text == "print pedal F♯ here"), "{:?}", said.repairs);
    assert_eq!(gravity(&marked("Fb5"), &pedal_47(), Rule::PrintedMarks), Some(Gravity::Look));
}

/// Harp facts 1.1: C1 has no discs on most harps and is tuned before the piece; sources differ, so hard at most.
#[test]
fn strings_without_discs() {
    let one = page(60, &[("C5:4", "C1:4"), ("D5:4", "C1:4")]);
    assert_eq!(said(&one, &pedal_47()), []);
    let two = page(60, &[("C5:4", "C1:4"), ("D5:4", "C#1:4")]);
    assert_eq!(gravity(&two, &pedal_47(), Rule::FixedString), Some(Gravity::Hard));
}

/// Berlioz: chromatic scales are impracticable unless very slow. Up and down again even the other strings for each pitch do not help; at a second a note the
/// pedals can be there.
#[test]
fn a_chromatic_run() {
    let down = "B5:1/4 Bb5:1/4 A5:1/4 Ab5:1/4 G5:1/4 Gb5:1/4 F5:1/4 E5:1/4 Eb5:1/4 D5:1/4 Db5:1/4 C5:1/4 C5:1";
    let run = "C5:1/4 C#5:1/4 D5:1/4 D#5:1/4 E5:1/4 F5:1/4 F#5:1/4 G5:1/4 G#5:1/4 A5:1/4 A#5:1/4 B5:1/4 C6:1";
    let score = |tempo: i64| page(tempo, &[(run, "[C3+G3]:4"), (down, "[C3+G3]:4")]);
    assert_eq!(gravity(&score(120), &pedal_47(), Rule::MoveWithoutTime), Some(Gravity::Hard));
    assert_eq!(gravity(&score(15), &pedal_47(), Rule::MoveWithoutTime), None);
}

/// A pitch on both staves is one string; either hand leaves it to the other.
#[test]
fn one_string_on_two_staves() {
    let found = report(&page(60, &[("[E4+C5]:4", "[C3+E4]:4")]), &pedal_47());
    let shared = found.findings.iter().find(|f| f.rule == Rule::SharedString).expect("a finding");
    assert_eq!((shared.gravity, shared.repairs.len() >= 2), (Gravity::Look, true), "{:?}", shared.repairs);
}

/// A page with pedal marks is for a pedal harp; one that the usual harp has stays on it.
#[test]
fn which_harp() {
    let (usual, large, player) = (Instrument::lever_34(), pedal_47(), harp::Player::default());
    let mut score = page(60, &[("F5:4", "r:4")]);
    assert_eq!(check::choose_harp(&score, &usual, &large, &player).0.name, "lever-34");
    let mark = Mark::Pedal(music::PitchName::new(music::Step::F, 0));
    score.measures[0].marks.push(PlacedMark::new(music::Beats::ZERO, None, mark));
    assert_eq!(check::choose_harp(&score, &usual, &large, &player).0.name, "pedal-47");
    let low = page(60, &[("F5:4", "B1:4")]);
    assert_eq!(check::choose_harp(&low, &usual, &large, &player).0.name, "pedal-47");
}
