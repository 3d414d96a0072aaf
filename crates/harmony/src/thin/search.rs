//! Which chords stay: an exact search, chord by chord.
//!
//! best(j, last, n) is the most points over the chords up to j, where `last` is the chord that holds after j and n chords beyond those that stay anyway have been
//! kept in the measure of j. Keeping j earns what j is worth, the step of the basses from the chord that held, and costs the time that is missing between
//! the two. Dropping it earns what it is worth only where the same chord holds anyway. Either way the melody over j costs its notes outside the chord that holds.
//! Of equal ways the one that keeps the earlier chord wins.

use super::given::Given;

/// By how the root moves: on the spot, by step, by third, by fourth or fifth, by tritone.
const SAME_ROOT: i64 = -20;
const STEP: i64 = 6;
const THIRD: i64 = 0;
const FIFTH: i64 = 12;
const TRITONE: i64 = -6;
/// For a chord that comes at once after another; less, the more of the time that it needs there is.
const AT_ONCE: i64 = 40;
/// The chord that holds is at most so many chords old, or twice as many as the fullest measure has.
const OLDEST: usize = 48;

#[derive(Clone, Copy)]
struct State {
    last: Option<usize>,
    kept: usize,
    value: i64,
    from: usize,
    keeps: bool,
}

/// For each chord whether it stays.
pub(super) fn search(given: &[Given]) -> Vec<bool> {
    let fullest = given.chunk_by(|a, b| a.measure == b.measure).map(<[Given]>::len).max().unwrap_or(0);
    let oldest = OLDEST.max(2 * fullest);
    let mut layers: Vec<Vec<State>> = vec![vec![State { last: None, kept: 0, value: 0, from: 0, keeps: false }]];
    for j in 0..given.len() {
        let starts = j > 0 && given[j - 1].measure != given[j].measure;
        let mut next: Vec<State> = Vec::new();
        for (from, state) in layers[j].iter().enumerate() {
            let kept = if starts { 0 } else { state.kept };
            for keeps in [true, false] {
                let held = if keeps { Some(j) } else { state.last };
                let too_old = held.is_some_and(|h| j - h > oldest);
                if too_old || !may(&given[j], keeps, kept) {
                    continue;
                }
                let value = state.value + earns(given, state.last, j, keeps) - outside(given, held, j);
                let kept = kept + usize::from(keeps && !given[j].stays);
                let new = State { last: held, kept, value, from, keeps };
                match next.iter_mut().find(|s| (s.last, s.kept) == (held, kept)) {
                    Some(old) if new.value > old.value => *old = new,
                    Some(_) => {}
                    None => next.push(new),
                }
            }
        }
        layers.push(next);
    }
    back(&layers)
}

fn may(given: &Given, keeps: bool, kept: usize) -> bool {
    if given.stays { keeps } else { !keeps || kept < given.room }
}

fn earns(given: &[Given], last: Option<usize>, j: usize, keeps: bool) -> i64 {
    let holds = last.filter(|_| !given[j].fresh);
    let same = holds.is_some_and(|i| given[i].is_same(&given[j]));
    match (keeps, same) {
        // It says nothing new: the worth is had without it.
        (false, true) => given[j].worth,
        (false, false) => 0,
        (true, _) => given[j].worth + holds.map_or(0, |i| step(&given[i], &given[j]) - haste(&given[i], &given[j])),
    }
}

fn step(from: &Given, to: &Given) -> i64 {
    let (Some(from), Some(to)) = (&from.chord, &to.chord) else { return 0 };
    match (to.root.pitch_class() - from.root.pitch_class()).rem_euclid(12) {
        0 => SAME_ROOT,
        1 | 2 | 10 | 11 => STEP,
        5 | 7 => FIFTH,
        6 => TRITONE,
        _ => THIRD,
    }
}

fn haste(from: &Given, to: &Given) -> i64 {
    let (has, needs) = ((to.time - from.time).micros(), to.needs.micros().max(1));
    if has >= needs { 0 } else { AT_ONCE * (needs - has) / needs }
}

fn outside(given: &[Given], held: Option<usize>, j: usize) -> i64 {
    let notes = given[j].melody.iter().enumerate();
    notes.filter(|(class, points)| **points > 0 && held.is_none_or(|h| !given[h].has(*class))).map(|(_, points)| points).sum()
}

fn back(layers: &[Vec<State>]) -> Vec<bool> {
    let last = layers.last().expect("there is a layer before the first chord");
    let mut at = (0..last.len()).rev().max_by_key(|s| last[*s].value).expect("every measure has room for one chord");
    let mut kept = Vec::with_capacity(layers.len());
    for layer in layers.iter().skip(1).rev() {
        kept.push(layer[at].keeps);
        at = layer[at].from;
    }
    kept.reverse();
    kept
}

/// What a choice is worth, said plainly; `None` where it keeps too many or drops what stays. What the search is measured by.
#[cfg(test)]
pub(super) fn value(given: &[Given], kept: &[bool]) -> Option<i64> {
    let (mut last, mut sum) = (None, 0);
    for j in 0..given.len() {
        let before = (0..j).filter(|i| given[*i].measure == given[j].measure && kept[*i] && !given[*i].stays).count();
        if !may(&given[j], kept[j], before) {
            return None;
        }
        sum += earns(given, last, j, kept[j]);
        last = if kept[j] { Some(j) } else { last };
        sum -= outside(given, last, j);
    }
    Some(sum)
}
