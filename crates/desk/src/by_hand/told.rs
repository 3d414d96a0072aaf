//! What is told of a measure after she changed its notes: the notes as they are now, and no reason for notes that are gone.

use super::ByHand;
use arrange::Decision;
use check::Change;
use music::{Beats, Note, Score};

/// In place of the planner's reason.
const HERS: &str = "these notes are your own";

/// Puts the notes of the page in place of the planned ones, in the measures whose notes she changed.
pub fn told(decisions: &mut [Decision], score: &Score, changes: &[ByHand]) {
    let of_notes =
        changes.iter().filter(|c| c.found && !matches!(c.change, Change::Muffle { .. } | Change::Move { .. } | Change::Finger { .. }));
    let mut measures: Vec<usize> = of_notes.filter_map(|c| Some(c.change.place()?.measure)).collect();
    measures.sort_unstable();
    measures.dedup();
    for index in 0..decisions.len() {
        let decision = &decisions[index];
        let Some(measure) = score.measures.get(decision.measure).filter(|_| measures.contains(&decision.measure)) else { continue };
        let until = decisions.get(index + 1).filter(|next| next.measure == decision.measure).map_or(measure.frame.length, |next| next.at);
        let notes = notes(measure.hand(decision.hand), decision.at, until);
        if notes != decision.notes {
            decisions[index].notes = notes;
            decisions[index].why = HERS.to_owned();
        }
    }
}

/// As a decision has its notes: "C3 G3 ~E3+C4".
fn notes(line: &[Note], from: Beats, until: Beats) -> String {
    let pluck = |note: &Note| {
        let names: Vec<String> = note.pitches.iter().map(ToString::to_string).collect();
        format!("{}{}", if note.rolled { "~" } else { "" }, names.join("+"))
    };
    let plucked = line.iter().filter(|n| n.is_plucked() && n.at >= from && n.at < until);
    let all: Vec<String> = plucked.map(pluck).collect();
    if all.is_empty() { "rest".to_owned() } else { all.join(" ") }
}
