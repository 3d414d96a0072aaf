//! The melody in the left hand: it is the same melody, the chords above neither cross nor share its strings, and what the left hand cannot play is refused with what would help.

use arrange::below::{Help, Refused};
use arrange::measures::LaidMeasure;
use arrange::{Arrangement, Figures, Remark, Wishes, arrange};
use harp::{Fluency, Instrument, Player};
use music::text::sheet;
use music::{Beats, Hand, LeadSheet, Note, Part, Pitch, Tempo};
use proptest::prelude::*;

const DEMOS: [&str; 4] = [
    include_str!("../../../data/tunes/bakery-before-six.abc"),
    include_str!("../../../data/tunes/ferry-reel.abc"),
    include_str!("../../../data/tunes/lighthouse-in-mist.abc"),
    include_str!("../../../data/tunes/regatta-morning.abc"),
];

fn made(sheet: &LeadSheet, player: &Player, wishes: &Wishes) -> Arrangement {
    arrange(sheet, &Figures::own(), &Instrument::lever_34(), player, wishes).expect("a tune")
}

fn stays(made: &Arrangement) -> Option<&Refused> {
    made.remarks.iter().find_map(|r| if let Remark::MelodyStays { why, .. } = r { Some(why) } else { None })
}

fn strings(pitches: &[Pitch]) -> Vec<i32> {
    pitches.iter().map(|p| p.position()).collect()
}

/// Everything that is true of every page with a melody in the left hand.
fn obeys(made: &Arrangement, source: &LeadSheet) {
    let by = made.tune.below.values().next().copied().expect("a verse lies below");
    let (mut fullest, mut last) = (0, 0);
    for (index, measure) in made.score.measures.iter().enumerate().filter(|(_, m)| m.melody == Hand::Left) {
        let origin = made.tune.origin[LaidMeasure::at(index)];
        assert_eq!(origin.part(), Part::Tune);
        let own = &source.measures[origin.source().expect("a measure of the tune").index()];
        let lowered = |n: &Note| (n.at, n.length, n.pitches.iter().map(|p| Pitch { octave: p.octave + by, ..*p }).collect::<Vec<_>>());
        let played: Vec<_> = measure.left.iter().map(|n| (n.at, n.length, n.pitches.clone())).collect();
        assert_eq!(played, own.notes.iter().map(lowered).collect::<Vec<_>>(), "measure {}", measure.frame.number);
        for chord in measure.right.iter().filter(|n| !n.is_rest()) {
            let (low, high) = (strings(&chord.pitches)[0], chord.top().expect("a string").position());
            assert!(high - low < 10 && chord.pitches.len() <= 4, "measure {}: {:?}", measure.frame.number, chord.pitches);
            let under = measure.left.iter().filter(|n| n.at < chord.end() && n.end() > chord.at);
            let top = under.flat_map(|n| strings(&n.pitches)).max();
            assert!(top.is_none_or(|top| low > top), "measure {}: {:?} over string {top:?}", measure.frame.number, chord.pitches);
            last = chord.pitches.len();
            fullest = fullest.max(last);
        }
    }
    if made.score.measures.last().is_some_and(|m| m.melody == Hand::Left) {
        assert_eq!(last, fullest, "the last chord is the fullest");
    }
}

#[test]
fn the_demo_tunes_with_their_melody_below() {
    let (mut below, player) = (0, Player { fluency: Fluency::Advanced, ..Player::default() });
    for tune in DEMOS {
        let source = formats::read(tune.as_bytes(), &formats::ReadOptions::default()).expect("a demo tune reads").sheet;
        for (fullness, verse) in [(vec![1], 0), (vec![3], 0), (vec![6], 0), (vec![2, 4], 1), (vec![3, 3, 2], 1)] {
            let wishes = Wishes { fullness, melody_below: [verse].into(), ..Wishes::default() };
            let made = made(&source, &player, &wishes);
            assert!(stays(&made).is_none(), "{}: {:?}", source.words.title, stays(&made));
            obeys(&made, &source);
            below += 1;
        }
    }
    assert_eq!(below, 20);
}

/// Three measures whose chords can be found by hand. The melody is C4 E4, D4 B3, C4. Over E4 the lowest free string with one left between is G4; G4 C5 E5 would have the melody's
/// own E on top when it comes, so the chord of C is C5 E5 G5. To G7, C goes down to B and E up to F, the seventh, which the melody does not have; the G beside F
/// would rub, so it is taken an octave lower: G4 B4 F5. In the last chord F falls to E, B rises to C, G stays, and the fourth string doubles the fifth, not the
/// third: G5.
#[test]
fn chords_go_the_nearest_way() {
    let tune = sheet(r#"4/4 C | "C" C5:2 E5:2 | "G7" D5:2 B4:2 | "C" C5:4 |"#);
    let wishes = Wishes { only: vec!["chords-above".into()], melody_below: [0].into(), ..Wishes::default() };
    let made = made(&tune, &Player::default(), &wishes);
    obeys(&made, &tune);
    let first = |measure: usize| {
        let names: Vec<String> = made.score.measures[measure].right[0].pitches.iter().map(|p| p.to_string()).collect();
        names.join(" ")
    };
    assert_eq!([first(0), first(1), first(2)], ["C5 E5 G5", "G4 B4 F5", "G4 C5 E5 G5"]);
    assert_eq!(made.score.measures[0].heading.as_deref(), Some("Melody in the left hand"));
}

/// Eighths at half note = 168 come every 0.18 s; at 240 every 0.125 s, sooner than the six a second of a fluent hand (harp facts 3.2, ASSUME).
#[test]
fn what_is_too_fast_is_refused_with_a_tempo_that_works() {
    let run = |from: &str| format!("{from} ");
    let scale: String = ["C5:1/2", "D5:1/2", "E5:1/2", "F5:1/2", "G5:1/2", "F5:1/2", "E5:1/2", "D5:1/2"].map(run).concat();
    let tune = sheet(&format!(r#"4/4 C | "C" {scale}| "G" {scale}| "C" C5:4 |"#));
    let at = |per_minute: i64| Wishes { tempo: Tempo::of(Beats::QUARTER, per_minute), melody_below: [0].into(), ..Wishes::default() };
    let fast = made(&tune, &Player::default(), &at(240));
    let Some(Refused::Hand { help, .. }) = stays(&fast) else { panic!("{:?}", fast.remarks) };
    assert!(fast.score.measures.iter().all(|m| m.melody == Hand::Right));
    let slower = help.iter().find_map(|h| if let Help::Slower(tempo) = h { Some(*tempo) } else { None }).expect("slower it goes");
    let then = made(&tune, &Player::default(), &Wishes { tempo: Some(slower), ..at(240) });
    assert!(stays(&then).is_none(), "{slower:?}: {:?}", stays(&then));
    assert!(help.contains(&Help::Fluency(Fluency::Advanced)));
}

/// Arithmetic: a melody over 28 strings and seven for chords above it are 35; this harp has 34.
#[test]
fn a_harp_without_room_above() {
    let tune = sheet(r#"4/4 C | "C" C4:1 G4:1 C5:1 G5:1 | "F" C6:1 F6:1 C7:1 B7:1 | "C" C5:4 |"#);
    let wishes = Wishes { melody_below: [0].into(), ..Wishes::default() };
    let made = made(&tune, &Player::default(), &wishes);
    assert!(matches!(stays(&made), Some(Refused::NoOctave { .. })), "{:?}", made.remarks);
}

/// Measures of a scale that wanders, over the chords of C.
fn tunes() -> impl Strategy<Value = LeadSheet> {
    let measure = (0usize..4, proptest::collection::vec((0i32..12, 0usize..3), 1..5));
    proptest::collection::vec(measure, 2..9).prop_map(|measures| {
        let mut text = String::from("4/4 C |");
        for (chord, notes) in measures {
            text += &format!(" \"{}\"", ["C", "F", "G7", "Am"][chord]);
            let mut left = 8;
            for (step, length) in &notes {
                let eighths = [1, 2, 4][*length].min(left);
                if eighths > 0 {
                    text += &format!(" {}:{eighths}/2", Pitch::at_position(33 + step, 0));
                    left -= eighths;
                }
            }
            text += &if left > 0 { format!(" C5:{left}/2 |") } else { " |".to_owned() };
        }
        sheet(&text)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Refused, or as it should be; and nothing but the verse that was asked for is another than without the wish.
    #[test]
    fn any_tune_is_refused_or_obeys(source in tunes(), level in 1u8..=6) {
        let wishes = Wishes { fullness: vec![level, 3], melody_below: [0].into(), ..Wishes::default() };
        let made = made(&source, &Player::default(), &wishes);
        match stays(&made) {
            Some(_) => prop_assert!(made.score.measures.iter().all(|m| m.melody == Hand::Right)),
            None => {
                obeys(&made, &source);
                let right = made.score.measures.iter().zip(&made.tune.origin).filter(|(_, o)| o.verse() == 1);
                for (measure, origin) in right {
                    prop_assert_eq!(&measure.right.iter().map(|n| n.top()).collect::<Vec<_>>(), &source.measures[origin.source().expect("its source").index()].notes.iter().map(|n| n.top()).collect::<Vec<_>>());
                }
            }
        }
    }
}
