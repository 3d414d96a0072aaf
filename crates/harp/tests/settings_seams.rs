//! What a note that is not over when the playing order jumps does to its string, and pages with more in question than can be searched.

mod dice;

use dice::Dice;
use harp::Instrument;
use harp::settings::{Choice, Fault, GridPlace, MoveTimes, Omission, Part, Passage, Prices, Proof, SettingSign, Spelling, Use, plan, walk};
use harp::{Fluency, Mechanism, Tuning};
use music::{Pitch, Seconds};
use std::ops::Range;

fn pitch(text: &str) -> Pitch {
    Pitch::parse(text).expect("a pitch")
}

/// A place every second, the hand free for 0.9 seconds at each; notes by place, end and pitch, none to be left out.
fn passage(places: usize, notes: &[(usize, usize, &str)], order: Vec<Range<usize>>) -> Passage {
    let place = |i: usize| GridPlace { at: Seconds::from_millis(i as i64 * 1000), room: Seconds::from_millis(900), awkward: 0 };
    let note = |n: &(usize, usize, &str)| {
        let spellings = vec![Spelling { pitch: pitch(n.2), price: 0 }];
        Use { place: n.0, until: n.1, spellings, omission: Omission::Never }
    };
    let end = Seconds::from_millis(places as i64 * 1000);
    Passage::new((0..places).map(place).collect(), end, notes.iter().map(note).collect(), order).expect("a passage")
}

fn feasible(passage: &Passage) -> bool {
    let (harp, times, prices) = (Instrument::lever_34(), MoveTimes::of(Fluency::Fluent), Prices::default());
    let found = plan(&harp, passage, &times, &prices, 1000);
    assert_eq!(walk(&harp, passage, &times, &prices, &found).expect("a plan can be played").price, found.price);
    found.is_feasible()
}

/// In the second pass the C lever must be up again at the first beat; a C tied over the repeat still sounds there (arithmetic on the written lengths).
#[test]
fn a_tie_over_the_repeat_holds_its_string() {
    let with_end = |until| passage(6, &[(1, 2, "C#4"), (3, until, "C4")], vec![0..4, 0..6]);
    assert!(feasible(&with_end(4)), "the C ends at the repeat");
    assert!(!feasible(&with_end(5)), "the C goes on for a second after the repeat");
}

/// The same, said by the walk.
#[test]
fn the_walk_says_which_sign_is_refused() {
    let (harp, times, prices) = (Instrument::lever_34(), MoveTimes::of(Fluency::Fluent), Prices::default());
    let tied = passage(6, &[(1, 2, "C#4"), (3, 5, "C4")], vec![0..4, 0..6]);
    let free = passage(6, &[(1, 2, "C#4"), (3, 4, "C4")], vec![0..4, 0..6]);
    let mut found = plan(&harp, &free, &times, &prices, 1000);
    let lever = Part::Lever(pitch("C4").position());
    assert_eq!(found.marks, [SettingSign { place: 0, part: lever, to: 1 }, SettingSign { place: 2, part: lever, to: 0 }]);
    found.choices = vec![Choice::Plucked(0); 2];
    assert_eq!(walk(&harp, &tied, &times, &prices, &found), Err(Fault::Locked(found.marks[0])));
}

/// A note tied into the first ending (place 2) holds its string as long in the second (places 3 and 4), where C-sharp comes after a second.
#[test]
fn a_tie_into_both_endings() {
    let second_ending = |until| passage(5, &[(0, 1, "C4"), (1, until, "C4"), (4, 5, "C#4")], vec![0..3, 0..2, 3..5]);
    assert!(feasible(&second_ending(2)), "the C ends with its measure");
    assert!(!feasible(&second_ending(3)), "the C goes on for a second in either ending");
}

/// Every string of a harp is wanted both ways again and again, on levers and on pedals: there is always a plan that can be played, whatever the width.
#[test]
fn more_in_question_than_can_be_searched() {
    let pedals = Mechanism::Pedals { fixed: vec![] };
    let pedals = Instrument::new("pedals".into(), pitch("C1"), 47, Tuning([-1; 7]), pedals).expect("a harp");
    let (times, prices) = (MoveTimes::of(Fluency::Advanced), Prices::default());
    let mut dice = Dice(5);
    let mut proofs = Vec::new();
    for harp in [Instrument::lever_34(), pedals] {
        let place = |i: usize| GridPlace { at: Seconds::from_millis(i as i64 * 500), room: Seconds::from_millis(900), awkward: 0 };
        let mut uses: Vec<Use> = (0..200)
            .map(|_| {
                let position = 14 + dice.throw(34) as i32;
                let stands = harp.settings_of(position);
                let pitch = Pitch::at_position(position, stands[dice.throw(stands.len() as u64) as usize]);
                let place = dice.throw(60) as usize;
                let spellings =
                    harp::settings::remedies::neighbours(&harp, pitch).into_iter().map(|pitch| Spelling { pitch, price: 300 }).collect();
                Use { place, until: place + 1, spellings, omission: Omission::Price(1500) }
            })
            .collect();
        uses.sort_by_key(|u| u.place);
        let passage =
            Passage::new((0..60).map(place).collect(), Seconds::from_millis(30_000), uses, vec![0..60, 0..60]).expect("a passage");
        for width in [1, 64] {
            let found = plan(&harp, &passage, &times, &prices, width);
            let walked = walk(&harp, &passage, &times, &prices, &found).unwrap_or_else(|f| panic!("{f:?}"));
            assert_eq!(walked.price, found.price, "{}", harp.name);
            proofs.push(found.proof);
        }
    }
    assert!(proofs.contains(&Proof::NotProved), "{proofs:?}");
}

/// The lever may have begun either way in each of twenty passes that are under way at once, a million ways in all: that is not searched, the string stands one
/// way from beginning to end, and the plan says that it is not proved.
#[test]
fn more_passes_than_can_be_told_apart() {
    let (harp, times, prices) = (Instrument::lever_34(), MoveTimes::of(Fluency::Fluent), Prices::default());
    let passage = passage(12, &[(8, 9, "C4"), (9, 10, "C4"), (11, 12, "C#4")], vec![0..12; 20]);
    let found = plan(&harp, &passage, &times, &prices, 1000);
    assert_eq!(walk(&harp, &passage, &times, &prices, &found).expect("a plan can be played").price, found.price);
    assert_eq!(found.choices, [Choice::Plucked(0), Choice::Plucked(0), Choice::Missing]);
    assert_eq!((found.marks.len(), found.proof), (0, Proof::NotProved));
    assert!(found.least <= found.price);
}
