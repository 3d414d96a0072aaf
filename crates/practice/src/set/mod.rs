//! A set: tunes in an order for an occasion.
//!
//! [`SetTune`] is what a set has to know of a tune: its key and kind, how long it is with its repeats, which levers or pedals it needs and how it leaves them.
//! [`standing`] follows the levers from tune to tune, [`order`] finds the order in which keys vary and least is moved, [`mod@choose`] finds the tunes that fill a
//! time. [`link`] writes the measures from one tune to the next.

pub mod standing;
pub mod order;
pub mod choose;
pub mod link;

pub use choose::{Chosen, Mood, choose};
pub use link::Link;
pub use order::{Held, Ordered, Proof, best_order};
pub use standing::{Change, Course, course};

use harmony::kind::KindOfTune;
use harp::Instrument;
use harp::page::Opening;
use harp::page::replay::{Event, follow, moved};
use harp::settings::Part;
use music::{Clock, Key, Score, Seconds};
use std::collections::BTreeMap;

/// The most tunes of a set.
pub const MOST: usize = 60;

/// A tune as a set sees it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetTune {
    pub key: Key,
    pub kind: KindOfTune,
    /// Once through, with its repeats, verses and what was put around them.
    pub seconds: Seconds,
    /// How every lever or pedal stands before its first note, as its page says.
    pub opening: Opening,
    /// How those have to stand that it plucks or moves; the others are nothing to it.
    pub needs: BTreeMap<Part, i32>,
    /// How it leaves those.
    pub leaves: BTreeMap<Part, i32>,
}

impl SetTune {
    /// From the page of a tune, played through with its repeats.
    pub fn of(score: &Score, opening: &Opening, kind: KindOfTune, harp: &Instrument) -> SetTune {
        let mut stands = opening.parts().clone();
        let mut used: BTreeMap<Part, i32> = BTreeMap::new();
        let mut touched = |part: Part, stands: &BTreeMap<Part, i32>| {
            if let Some(alter) = opening.parts().get(&part).or_else(|| stands.get(&part)) {
                used.entry(part).or_insert(*alter);
            }
        };
        follow(score, opening.clone(), harp, |event| match event {
            Event::Measure { .. } => {}
            Event::Mark { measure, index, .. } => {
                for (part, alter) in moved(harp, &score.measures[measure].marks[index].mark) {
                    touched(part, &stands);
                    stands.insert(part, alter);
                }
            }
            Event::Note(note) => {
                if let Some(part) = note.given.or(note.own).and_then(|pitch| Part::of(harp, pitch)) {
                    touched(part, &stands);
                }
            }
        });
        let leaves = used.keys().map(|part| (*part, stands.get(part).copied().unwrap_or(used[part]))).collect();
        let key = score.measures.first().map_or(Key::C_MAJOR, |m| m.frame.key.clone());
        SetTune { key, kind, seconds: Clock::of_score(score).played_end(), opening: opening.clone(), needs: used, leaves }
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use music::{Mark, Mode, Pitch, PitchName, PlacedMark, Step};

    /// A tune on a lever harp: its key, its kind, and the levers that it needs ("F#4"), which it leaves as they are.
    pub fn tune(tonic: Step, kind: KindOfTune, needs: &[&str]) -> SetTune {
        let parts = |names: &[&str]| -> BTreeMap<Part, i32> {
            let pitch = |name: &&str| Pitch::parse(name).expect("a pitch");
            names.iter().map(pitch).map(|p| (Part::Lever(p.position()), p.alter)).collect()
        };
        SetTune {
            key: Key::of(PitchName::new(tonic, 0), Mode::Major),
            kind,
            seconds: Seconds::from_millis(60_000),
            opening: Opening::default().with(&parts(needs)),
            needs: parts(needs),
            leaves: parts(needs),
        }
    }

    /// What a page plucks it needs, what it never plucks it does not; a move leaves its lever where it was put. By hand.
    #[test]
    fn a_tune_needs_what_it_plucks() {
        let harp = Instrument::lever_34();
        let mut score = music::text::page(&[("C5:2 F5:2", "C3:4"), ("F#5:4", "D3:4")], 60);
        let up = Pitch::parse("F#5").expect("a pitch");
        score.measures[1].marks.push(PlacedMark::new(music::Beats::ZERO, None, Mark::Lever(up)));
        let opening = Opening::for_key(&harp, &Key::C_MAJOR);
        let tune = SetTune::of(&score, &opening, KindOfTune::Air, &harp);
        let lever = |name: &str| Part::Lever(Pitch::parse(name).expect("a pitch").position());
        let needed: Vec<Part> = tune.needs.keys().copied().collect();
        assert_eq!(needed, [lever("C3"), lever("D3"), lever("C5"), lever("F5")]);
        assert_eq!((tune.needs[&lever("F5")], tune.leaves[&lever("F5")]), (0, 1));
        assert_eq!(tune.seconds, Seconds::from_millis(8_000));
    }
}
