//! The printed marks played through: every repeat, ending and jump taken, what does each written note really give?
//!
//! Knows nothing of how the marks were found. A page of ours is true when nothing in [`replay`] sounds otherwise than written; a page of somebody else's, whose
//! notes may be spelled for another string than the one its marks set, gives a note when any string stands so.

use super::opening::Opening;
use crate::instrument::{Instrument, Mechanism};
use crate::settings::Part;
use crate::settings::remedies::neighbours;
use music::order::playing_order;
use music::{Beats, Frame, Hand, Mark, Pitch, Score, ScoreMeasure, Step};

/// What comes next when a page is played through. Marks at a place are read before its notes.
#[derive(Clone, Copy, Debug)]
pub enum Event<'a> {
    /// A measure begins; how everything stands.
    Measure {
        /// Index into the measures of the page.
        measure: usize,
        /// Each lever or pedal as the measure begins.
        stands: &'a Opening,
    },
    /// A mark, by its index among those of its measure, and how many levers or pedals it moves.
    Mark {
        /// Index into the measures of the page.
        measure: usize,
        /// Index into the marks of that measure.
        index: usize,
        /// How many levers or pedals it really moves.
        moves: usize,
    },
    /// A pitch is plucked.
    Note(Sounded),
}

/// A written pitch in one pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sounded {
    /// Index into the measures as played.
    pub played: usize,
    /// Index into the measures of the page.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// The hand whose staff it stands on.
    pub hand: Hand,
    /// As it is written.
    pub written: Pitch,
    /// It is a grace note.
    pub grace: bool,
    /// What the string it is written for sounds; `None` where the harp has no such string.
    pub own: Option<Pitch>,
    /// The string that stands so that it sounds as written; `None` where none does.
    pub given: Option<Pitch>,
}

/// A written pitch that sounds otherwise in some pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Heard {
    /// Index into the measures as played.
    pub played: usize,
    /// Index into the measures of the page.
    pub measure: usize,
    /// Where in that measure.
    pub at: Beats,
    /// The hand whose staff it stands on.
    pub hand: Hand,
    /// As it is written.
    pub written: Pitch,
    /// What the string gives; `None` where the harp has no such string.
    pub sounds: Option<Pitch>,
}

/// Everything that does not sound as written, in playing order.
pub fn replay(score: &Score, opening: &Opening, harp: &Instrument) -> Vec<Heard> {
    let mut wrong = Vec::new();
    follow(score, opening.clone(), harp, |event| match event {
        Event::Note(Sounded { played, measure, at, hand, written, own, .. }) if own.map(Pitch::midi) != Some(written.midi()) => {
            wrong.push(Heard { played, measure, at, hand, written, sounds: own });
        }
        _ => {}
    });
    wrong
}

/// How everything stands when a measure is played for the first time; `None` where it never is.
pub fn standing(score: &Score, opening: &Opening, harp: &Instrument, wanted: usize) -> Option<Opening> {
    let mut found = None;
    follow(score, opening.clone(), harp, |event| match event {
        Event::Measure { measure, stands } if measure == wanted && found.is_none() => found = Some(stands.clone()),
        _ => {}
    });
    found
}

/// Plays a page through. What stands nowhere in the opening stands as its first note wants it.
pub fn follow(score: &Score, opening: Opening, harp: &Instrument, mut hear: impl FnMut(Event)) {
    let frames: Vec<&Frame> = score.measures.iter().map(|m| &m.frame).collect();
    let mut stands = opening;
    for (played, measure) in playing_order(&frames).measures.into_iter().enumerate() {
        hear(Event::Measure { measure, stands: &stands });
        let here = &score.measures[measure];
        let mut marks: Vec<(Beats, usize)> = here.marks.iter().enumerate().map(|(index, m)| (m.at, index)).collect();
        marks.sort_by_key(|m| m.0);
        let mut next = marks.into_iter().peekable();
        for (at, hand, written, grace) in written(here) {
            while let Some((_, index)) = next.next_if(|m| m.0 <= at) {
                let moves = stands.set(&moved(harp, &here.marks[index].mark));
                hear(Event::Mark { measure, index, moves });
            }
            let given = given(harp, &mut stands, written);
            let own = stands.alter(harp, written.position()).map(|alter| Pitch::at_position(written.position(), alter));
            hear(Event::Note(Sounded { played, measure, at, hand, written, grace, own, given }));
        }
        for (_, index) in next {
            let moves = stands.set(&moved(harp, &here.marks[index].mark));
            hear(Event::Mark { measure, index, moves });
        }
    }
}

/// What a mark sets on this harp. A string named on a pedal harp is its letter's pedal; pedals are nothing to a lever harp.
pub fn moved(harp: &Instrument, mark: &Mark) -> Vec<(Part, i32)> {
    let pedals = matches!(harp.mechanism, Mechanism::Pedals { .. });
    match mark {
        Mark::Lever(pitch) => Part::of(harp, *pitch).map(|part| (part, pitch.alter)).into_iter().collect(),
        Mark::Pedal(name) if pedals => vec![(Part::Pedal(name.step), name.alter)],
        Mark::Pedals(alter) if pedals => Step::ALL.into_iter().map(|s| (Part::Pedal(s), alter[s as usize])).collect(),
        _ => Vec::new(),
    }
}

/// The string on which a pitch can be had as everything stands, its own first; then one of which nothing is known yet, and is from now on.
fn given(harp: &Instrument, stands: &mut Opening, written: Pitch) -> Option<Pitch> {
    let strings = neighbours(harp, written);
    let at = |pitch: &Pitch| Part::of(harp, *pitch).map(|part| stands.parts().get(&part).copied());
    let set = strings.iter().find(|p| at(p).is_none_or(|stands| stands == Some(p.alter)));
    let found = set.or_else(|| strings.iter().find(|p| at(p) == Some(None))).copied()?;
    stands.set(&Part::of(harp, found).map(|part| (part, found.alter)).into_iter().collect::<Vec<_>>());
    Some(found)
}

/// Every plucked pitch of a measure in order of time, grace notes (the last value says so) with their note.
fn written(measure: &ScoreMeasure) -> Vec<(Beats, Hand, Pitch, bool)> {
    let mut all = Vec::new();
    for hand in [Hand::Right, Hand::Left] {
        for note in measure.hand(hand) {
            let graces = note.grace.iter().flat_map(|g| &g.pitches).map(|p| (note.at, hand, *p, true));
            let own = note.pitches.iter().filter(|_| note.is_plucked()).map(|p| (note.at, hand, *p, false));
            all.extend(graces.chain(own));
        }
    }
    all.sort_by_key(|a| a.0);
    all
}
