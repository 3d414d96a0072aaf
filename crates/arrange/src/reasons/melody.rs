//! What the left hand does under the melody: it moves where that holds, and keeps still where that runs.

use super::{About, Clause, Told};
use crate::hand_time::Pluck;
use crate::principles::chordal;
use crate::task;
use crate::view::View;
use music::{Beats, Seconds};

impl Told<'_> {
    pub(super) fn melody(&self, slot: usize) -> Vec<Clause> {
        let view = task::view(self.task, self.slot(slot));
        let plucks = self.plucks(slot);
        [holds(&view, plucks), runs(&view, plucks), uneven(&view, plucks)].into_iter().flatten().collect()
    }
}

/// A long note or rest of the melody, and what the left hand plucks in it.
fn holds(view: &View, plucks: &[Pluck]) -> Option<Clause> {
    let (on, off) = view.holds.iter().copied().max_by_key(|(on, off)| *off - *on)?;
    let inside: Vec<&Pluck> = chordal(view.slot, plucks).iter().filter(|p| p.at > on && p.at < off).collect();
    let sounds = view.melody.iter().any(|n| n.on <= on && n.off > on);
    let melody = if sounds { "the melody holds" } else { "the melody rests" };
    let rises = inside.windows(2).all(|w| w[1].low() > w[0].low() && w[1].high() > w[0].high());
    let said = match inside.len() {
        0 => return Some(Clause::new(About::Holds, 48, format!("{melody}, and the chord rings under it"))),
        1 => format!("{melody}: one more pluck keeps the sound alive"),
        _ if rises => format!("{melody}: a rising chord fills it"),
        _ => format!("{melody}: the left hand moves under it"),
    };
    Some(Clause::new(About::Holds, 78, said))
}

/// Notes that follow each other so quickly run. Ours.
const RUNNING: Seconds = Seconds::from_millis(350);

/// The melody is busy and the hand is not.
fn runs(view: &View, plucks: &[Pluck]) -> Option<Clause> {
    let notes: usize = view.beats.iter().map(|b| b.plucks).sum();
    let beats = view.beats.len();
    let busy = notes >= beats * 3 || notes >= beats * 2 && beats > 1;
    if !busy || plucks.len() > 2 || plucks.len() * 2 > notes {
        return None;
    }
    let each = view.between(Beats::ZERO, view.slot.length).micros() / notes as i64;
    let melody = if each < RUNNING.micros() { "the melody runs" } else { "the melody moves" };
    let said = match plucks {
        [one] if one.pitches.len() == 1 => format!("{melody}: one note below it is enough"),
        [_] => format!("{melody}: one chord below it is enough"),
        _ => format!("{melody}: two plucks carry it"),
    };
    Some(Clause::new(About::Runs, 72, said))
}

/// Triplets or dotted notes above, and plucks on the beats alone.
fn uneven(view: &View, plucks: &[Pluck]) -> Option<Clause> {
    let crooked = view.beats.iter().any(|b| b.uneven.is_some());
    let on_beats = plucks.iter().all(|p| (view.slot.at + p.at) % view.beat == Beats::ZERO);
    (crooked && on_beats).then(|| Clause::new(About::Uneven, 62, "triplets or dotted notes above: the left hand keeps to the beat"))
}
