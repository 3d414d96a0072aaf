//! What can be done about a note that cannot be had, in the order in which a harpist would try it (harp facts 2.4).

use super::passage::{Omission, Part, Passage, Prices, Spelling};
use super::search::plan;
use super::walk::Choice;
use crate::instrument::Instrument;
use crate::player::MoveTimes;
use music::{Pitch, Seconds};

/// What could be done about a note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Remedy {
    /// The same sound on another string; the price of the whole plan then.
    OtherString {
        /// That string, as it must stand.
        pitch: Pitch,
        /// Of the whole plan then.
        price: u64,
    },
    /// It could be had if the hand were free at this place for as long as the move takes: a note less, or later, there.
    FreeHand {
        /// Index into the passage's places.
        place: usize,
        /// Of the whole plan then.
        price: u64,
    },
    /// An octave in which the string is not used otherwise, set before the piece.
    OtherOctave {
        /// In that octave.
        pitch: Pitch,
        /// Of the whole plan then.
        price: u64,
    },
    /// Price of leaving it out, where that is allowed.
    LeaveOut {
        /// Of the omission.
        price: u64,
    },
    /// Nothing else helps here.
    OtherKey,
}

/// The remedies for one note that a plan does not have plucked, each tried by planning again with the note wanted at any price: a dozen
/// plans at most. What takes another note away is no remedy.
pub fn remedies(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, width: usize, note: usize) -> Vec<Remedy> {
    let others_out = |choices: &[Choice]| (0..choices.len()).filter(|n| *n != note && !matches!(choices[*n], Choice::Plucked(_))).count();
    let out = others_out(&plan(harp, passage, times, prices, width).choices);
    let wanted = |change: &dyn Fn(&mut Passage)| -> Option<u64> {
        let mut changed = passage.clone();
        changed.uses[note].omission = Omission::Never;
        change(&mut changed);
        let plan = plan(harp, &changed, times, prices, width);
        let had = matches!(plan.choices[note], Choice::Plucked(_)) && others_out(&plan.choices) <= out;
        had.then_some(plan.price)
    };
    let with = |pitch: Pitch| wanted(&|changed| changed.uses[note].spellings.push(Spelling { pitch, price: 0 }));
    let own = &passage.uses[note];
    let Some(written) = own.spellings.first().map(|s| s.pitch) else { return vec![Remedy::OtherKey] };
    let tried = |pitch: &Pitch| own.spellings.iter().any(|s| s.pitch == *pitch);
    let mut found = Vec::new();
    for pitch in neighbours(harp, written).into_iter().filter(|p| !tried(p)) {
        found.extend(with(pitch).map(|price| Remedy::OtherString { pitch, price }));
    }
    let freed = instants(harp, passage, times, note, written).into_iter().find_map(|place| {
        let room = Seconds::from_micros(times.lever.micros().max(passage.places[place].room.micros()));
        wanted(&|changed| changed.places[place].room = room).map(|price| Remedy::FreeHand { place, price })
    });
    found.extend(freed);
    let used = |pitch: Pitch| passage.uses.iter().flat_map(|u| &u.spellings).any(|s| s.pitch.position() == pitch.position());
    for octave in [-1, 1] {
        let pitch = Pitch { octave: written.octave + octave, ..written };
        let own_string = matches!(Part::of(harp, pitch), None | Some(Part::Lever(_)));
        if own_string && harp.can_sound(pitch) && !used(pitch) {
            found.extend(with(pitch).map(|price| Remedy::OtherOctave { pitch, price }));
        }
    }
    if let Omission::Price(price) = own.omission {
        found.push(Remedy::LeaveOut { price });
    }
    found.push(Remedy::OtherKey);
    found
}

/// Instants tried for a free hand.
const INSTANTS: usize = 6;

/// The last places before a note at which its lever could be set in time if the hand were free, after the note before on that string has ended.
fn instants(harp: &Instrument, passage: &Passage, times: &MoveTimes, note: usize, pitch: Pitch) -> Vec<usize> {
    let Some(Part::Lever(string)) = Part::of(harp, pitch) else { return Vec::new() };
    let own = &passage.uses[note];
    let before = passage.uses.iter().filter(|u| u.place < own.place && u.spellings.iter().any(|s| s.pitch.position() == string));
    let from = before.map(|u| u.until).max().unwrap_or(0);
    let in_time = |place: &usize| passage.time(*place) + times.lever.micros() <= passage.time(own.place);
    let busy = |place: &usize| passage.places[*place].room < times.lever;
    (from..own.place).rev().filter(|p| in_time(p) && busy(p)).take(INSTANTS).collect()
}

/// The strings and spellings on which this harp has the sound of a pitch, the written one first.
pub fn neighbours(harp: &Instrument, pitch: Pitch) -> Vec<Pitch> {
    let spelled = [0, -1, 1].map(|side| {
        let other = Pitch::at_position(pitch.position() + side, 0);
        Pitch { alter: pitch.midi() - other.midi(), ..other }
    });
    spelled.into_iter().filter(|p| harp.can_sound(*p)).collect()
}
