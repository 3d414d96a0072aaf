//! Moves brought near the notes that need them, where that costs nothing: a lever set two measures early is forgotten at the stand.
//!
//! Each sign, the last first, is tried at later places before its note, on the beat before off it; [`walk`] says whether the page can still be played so, and
//! at what price.

use super::passage::{Passage, Prices};
use super::walk::{Plan, walk};
use crate::instrument::Instrument;
use crate::player::MoveTimes;
use music::Seconds;

/// A sign stands at least this long before the note that needs it. Ours.
const LEAD: Seconds = Seconds::from_millis(600);
/// Places that are tried for one sign.
const MOST_TRIED: usize = 6;

/// The same plan, at the same price or less, with its signs as late as they can well be.
pub fn later(harp: &Instrument, passage: &Passage, times: &MoveTimes, prices: &Prices, plan: &Plan) -> Plan {
    let mut best = plan.clone();
    for index in (0..best.marks.len()).rev() {
        let Ok(walked) = walk(harp, passage, times, prices, &best) else { return best };
        let mark = best.marks[index];
        let here = walked.moves.iter().filter(|m| m.place == mark.place && m.part == mark.part);
        let needed: Option<Vec<usize>> = here.map(|m| m.needed_by.map(|u| passage.uses()[u].place).filter(|p| *p > mark.place)).collect();
        let Some(need) = needed.and_then(|all| all.into_iter().min()) else { continue };
        for place in places(passage, mark.place, need) {
            let mut tried = best.clone();
            tried.marks[index].place = place;
            tried.marks.sort();
            if walk(harp, passage, times, prices, &tried).is_ok_and(|w| w.price <= walked.price) {
                best = tried;
                break;
            }
        }
    }
    best
}

/// Later places for a sign, those least awkward first, of these the latest.
fn places(passage: &Passage, from: usize, need: usize) -> Vec<usize> {
    let all = passage.places();
    let mut later: Vec<usize> = (from + 1..need).filter(|p| all[*p].at + LEAD <= all[need].at).collect();
    later.sort_by_key(|p| (all[*p].awkward, std::cmp::Reverse(*p)));
    later.truncate(MOST_TRIED);
    later
}
