//! What can be done about a note that cannot be had, in the order in which a harpist would try it (harp facts 2.4).

use super::passage::{MoveTimes, Omission, Part, Passage, Prices, Spelling};
use super::search::plan;
use super::walk::{Choice, Plan};
use crate::instrument::Instrument;
use music::{Pitch, Seconds};

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WayOut {
    /// The same sound on another string; the price of the whole plan then.
    OtherString {
        pitch: Pitch,
        price: u64,
    },
    /// It could be had if the hand were free at this place for as long as the move takes: a note less, or later, there.
    FreeHand {
        place: usize,
        price: u64,
    },
    /// An octave in which the string is not used otherwise, set before the piece.
    OtherOctave {
        pitch: Pitch,
        price: u64,
    },
    /// Price of leaving it out, where that is allowed.
    LeaveOut {
        price: u64,
    },
    OtherKey,
}

/// The ways out for one note that a plan does not have plucked, each tried by planning again.
pub fn ways_out(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, width: usize, note: usize) -> Vec<WayOut> {
    let had = |p: &Passage| -> Option<Plan> {
        let plan = plan(harp, p, times, prices, width);
        matches!(plan.choices[note], Choice::Plucked(_)).then_some(plan)
    };
    let written: Vec<Pitch> = passage.uses[note].spellings.iter().map(|s| s.pitch).collect();
    let with = |pitch: Pitch| {
        let mut changed = passage.clone();
        changed.uses[note].spellings.push(Spelling { pitch, price: 0 });
        had(&changed).map(|p| p.price)
    };
    let mut found = Vec::new();
    for pitch in written.first().into_iter().flat_map(|p| neighbours(harp, *p)).filter(|p| !written.contains(p)) {
        found.extend(with(pitch).map(|price| WayOut::OtherString { pitch, price }));
    }
    let freed = (0..passage.uses[note].place).rev().take(16).find_map(|place| {
        let mut changed = passage.clone();
        changed.places[place].room = Seconds::from_micros(passage.time(note_end(passage, place)) - passage.time(place));
        had(&changed).map(|p| WayOut::FreeHand { place, price: p.price })
    });
    found.extend(freed);
    let used = |pitch: Pitch| passage.uses.iter().flat_map(|u| &u.spellings).any(|s| s.pitch.position() == pitch.position());
    for octave in [-1, 1] {
        let Some(pitch) = written.first().map(|p| Pitch { octave: p.octave + octave, ..*p }) else { continue };
        let own = matches!(Part::of(harp, pitch), None | Some(Part::Lever(_)));
        if own && harp.can_sound(pitch) && !used(pitch) {
            found.extend(with(pitch).map(|price| WayOut::OtherOctave { pitch, price }));
        }
    }
    if let Omission::Price(price) = passage.uses[note].omission {
        found.push(WayOut::LeaveOut { price });
    }
    found.push(WayOut::OtherKey);
    found
}

/// The place at which a whole second has gone by, or the end.
fn note_end(passage: &Passage, place: usize) -> usize {
    let enough = passage.time(place) + 1_000_000;
    (place + 1..passage.places.len()).find(|p| passage.time(*p) >= enough).unwrap_or(passage.places.len())
}

/// The strings and spellings on which this harp has the sound of a pitch, the written one first.
pub fn neighbours(harp: &Instrument, pitch: Pitch) -> Vec<Pitch> {
    let spelled = [0, -1, 1].map(|side| {
        let other = Pitch::at_position(pitch.position() + side, 0);
        Pitch { alter: pitch.midi() - other.midi(), ..other }
    });
    spelled.into_iter().filter(|p| harp.can_sound(*p)).collect()
}
