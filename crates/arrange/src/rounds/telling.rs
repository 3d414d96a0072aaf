//! A dominant without its third is no dominant: where the tone that tells a chord from the key's own is plucked by nobody, because its lever seemed too dear or
//! there was no time for it, it is asked for again, string by string, with room for the lever made beforehand.

use super::{Round, Rounds};
use crate::candidates::Candidate;
use crate::charges::MoveRoom;
use crate::plan::Plan;
use harp::Mechanism;
use music::{Hand, Pitch, PitchName};
use std::ops::Range;

/// How much cheaper a chord would be on its own with its telling tone, before it is asked for. This and what follows: ours.
const WORTH: i64 = 900;
/// Strings tried for each, and all tries.
const STRINGS: usize = 2;
const MOST: usize = 8;
/// A3: strings nearer to it come first.
const BEST: i32 = 26;

impl Rounds<'_> {
    pub(super) fn tell(&mut self, plan: &mut Plan, best: &mut Round) {
        if !matches!(self.task.harp.mechanism, Mechanism::Levers(_)) {
            return;
        }
        let mut tries = MOST;
        let mut slot = 0;
        while slot < plan.slots.len() {
            let Some((run, strings)) = self.untold(plan, best, slot) else {
                slot += 1;
                continue;
            };
            let mut rooms = vec![MoveRoom::AsItComes, MoveRoom::Before(run.start)];
            rooms.extend((run.len() > 1).then_some(MoveRoom::Before(run.start + 1)));
            for (pitch, room) in strings.iter().flat_map(|p| rooms.iter().map(move |r| (*p, *r))) {
                if tries == 0 {
                    return;
                }
                tries -= 1;
                let charges = best.charges.asking(self.task, &plan.slots, &best.page, run.clone(), pitch, room);
                self.improves(plan, &charges, best);
            }
            slot = run.end;
        }
    }

    /// The slots from here on with the same chord, if its telling tone is not plucked here and the chord would be much better with it; and strings for it.
    fn untold(&self, plan: &Plan, best: &Round, slot: usize) -> Option<(Range<usize>, Vec<Pitch>)> {
        let here = &plan.slots[slot];
        let chord = here.chord.as_ref().filter(|_| here.hand == Hand::Left)?;
        let candidates = &plan.choices[slot].candidates;
        let chosen = &candidates[best.found.chosen[slot]];
        let has = |c: &Candidate, name: PitchName| c.plucks.iter().flat_map(|p| &p.pitches).any(|p| p.name() == name);
        let telling = [chord.third(), chord.seventh()].into_iter().flatten().map(|tone| chord.name_of(tone));
        let name = telling.filter(|name| here.key.alter(name.step) != name.alter && !has(chosen, *name)).find(|name| {
            let with = candidates.iter().filter(|c| has(c, *name)).map(|c| c.price.total()).min();
            with.is_some_and(|with| with + WORTH < chosen.price.total())
        })?;
        let end = (slot..plan.slots.len()).find(|s| plan.slots[*s].chord != here.chord).unwrap_or(plan.slots.len());
        let mut strings: Vec<Pitch> = Vec::new();
        for pitch in candidates.iter().flat_map(|c| &c.plucks).flat_map(|p| &p.pitches).filter(|p| p.name() == name) {
            if !strings.contains(pitch) {
                strings.push(*pitch);
            }
        }
        strings.sort_by_key(|p| ((p.position() - BEST).abs(), p.position()));
        strings.truncate(STRINGS);
        Some((slot..end, strings))
    }
}
