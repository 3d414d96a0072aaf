//! The printed marks played through: every repeat, ending and jump taken, what does each written note really give?
//!
//! Knows nothing of how the marks were found. A page is true when nothing here sounds otherwise than written.

use super::opening::Opening;
use crate::instrument::Instrument;
use crate::settings::Part;
use music::{Beats, Clock, Hand, Mark, Pitch, Score, ScoreMeasure, Step};
use std::collections::BTreeMap;

/// A written pitch that sounds otherwise in some pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Heard {
    /// Index into the measures as played.
    pub played: usize,
    pub measure: usize,
    pub at: Beats,
    pub hand: Hand,
    pub written: Pitch,
    /// What the string gives; `None` where the harp has no such string.
    pub sounds: Option<Pitch>,
}

/// Everything that does not sound as written, in playing order. Marks at a place are read before its notes.
pub fn replay(score: &Score, opening: &Opening, harp: &Instrument) -> Vec<Heard> {
    let mut stands: BTreeMap<Part, i32> = opening.parts().clone();
    let mut wrong = Vec::new();
    for (played, pass) in Clock::of_score(score).played().iter().enumerate() {
        let (measure, here) = (pass.measure, &score.measures[pass.measure]);
        let mut marks: Vec<(Beats, Vec<(Part, i32)>)> = here.marks.iter().map(|m| (m.at, moved(&m.mark))).collect();
        marks.sort_by_key(|m| m.0);
        let mut next = marks.into_iter().peekable();
        for (at, hand, written) in written(here) {
            while let Some((_, moves)) = next.next_if(|m| m.0 <= at) {
                stands.extend(moves);
            }
            let sounds = sounding(harp, &stands, written);
            if sounds.map(Pitch::midi) != Some(written.midi()) {
                wrong.push(Heard { played, measure, at, hand, written, sounds });
            }
        }
        next.for_each(|(_, moves)| stands.extend(moves));
    }
    wrong
}

/// What a mark sets.
pub fn moved(mark: &Mark) -> Vec<(Part, i32)> {
    match mark {
        Mark::Lever(pitch) => vec![(Part::Lever(pitch.position()), pitch.alter)],
        Mark::Pedal(name) => vec![(Part::Pedal(name.step), name.alter)],
        Mark::Pedals(alter) => Step::ALL.into_iter().map(|s| (Part::Pedal(s), alter[s as usize])).collect(),
        _ => Vec::new(),
    }
}

/// What a written pitch's own string gives now.
fn sounding(harp: &Instrument, stands: &BTreeMap<Part, i32>, written: Pitch) -> Option<Pitch> {
    let position = written.position();
    let open = *harp.settings_of(position).first()?;
    let alter = Part::of(harp, written).and_then(|part| stands.get(&part).copied()).unwrap_or(open);
    Some(Pitch::at_position(position, alter))
}

/// Every plucked pitch of a measure in order of time, grace notes with their note.
fn written(measure: &ScoreMeasure) -> Vec<(Beats, Hand, Pitch)> {
    let mut all = Vec::new();
    for hand in [Hand::Right, Hand::Left] {
        for note in measure.hand(hand) {
            let graces = note.grace.iter().flat_map(|g| &g.pitches);
            let own = note.pitches.iter().filter(|_| note.is_plucked());
            all.extend(graces.chain(own).map(|p| (note.at, hand, *p)));
        }
    }
    all.sort_by_key(|a| a.0);
    all
}
