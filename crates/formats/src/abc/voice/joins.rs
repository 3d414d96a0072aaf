//! What joins notes: ties and slurs (ABC 2.1, 4.11).

use super::super::lyrics::Slot;
use super::{Tied, Voice, counted};
use crate::diagnostic::Span;
use music::{Note, Pitch};

/// The most slurs that are open at a time.
const MOST_SLURS: usize = 16;

impl Voice {
    pub(super) fn slur_start(&mut self, span: Span) {
        if usize::from(self.slurs) + self.open_slurs.len() >= MOST_SLURS {
            self.remarks.warn(span, format!("more than {MOST_SLURS} slurs at a time: the others were left out"));
            return;
        }
        self.slurs += 1;
    }

    /// The slurs that wait begin at this note, which is about to be added.
    pub(super) fn start_slurs(&mut self, note: &mut Note) {
        note.slurs_start = std::mem::take(&mut self.slurs);
        let slot = (self.measures.len(), self.draft.measure.notes.len());
        self.open_slurs.extend((0..note.slurs_start).map(|_| slot));
    }

    pub(super) fn slur_stop(&mut self, span: Span) {
        if self.slurs > 0 {
            self.slurs -= 1;
            self.remarks.warn(span, "a slur over nothing was left out");
            return;
        }
        let Some(start) = self.open_slurs.pop() else {
            self.remarks.warn(span, "\")\" without the \"(\" it closes was left out");
            return;
        };
        if Some(start) == self.last_slot() {
            self.remarks.note(span, "a slur over one note was left out");
            self.drop_slur(start);
        } else if let Some(note) = self.last_note() {
            note.slurs_stop = note.slurs_stop.saturating_add(1);
        }
    }

    fn drop_slur(&mut self, start: Slot) {
        if let Some(note) = self.note_at(start) {
            note.slurs_start = note.slurs_start.saturating_sub(1);
        }
    }

    /// Slurs that are still open at the end are left out.
    pub(super) fn end_slurs(&mut self, span: Span) {
        let open = std::mem::take(&mut self.open_slurs);
        if !open.is_empty() {
            self.remarks.note(span, format!("{} not closed and left out", counted(open.len() as u32, "slur is", "slurs are")));
        }
        open.into_iter().for_each(|start| self.drop_slur(start));
    }

    pub(super) fn tie(&mut self, span: Span) {
        match self.last_note().map(|n| n.pitches.clone()) {
            Some(pitches) if !pitches.is_empty() => self.tie_pitches(pitches, span),
            _ => self.remarks.warn(span, "a tie without a note before it was left out"),
        }
    }

    pub(super) fn tie_pitches(&mut self, pitches: Vec<Pitch>, span: Span) {
        if let (Some(from), Some(note)) = (self.last_slot(), self.last_note()) {
            note.tie.to_next = true;
            self.tied = Some(Tied { pitches, from, span });
        }
    }

    /// The other end of a tie. Between different pitches the sign was meant as a slur (old files).
    pub(super) fn join_tie(&mut self, note: &mut Note) {
        let Some(tied) = self.tied.take() else { return };
        if note.pitches.iter().any(|p| tied.pitches.contains(p)) {
            note.tie.from_before = true;
            return;
        }
        self.untie(&tied);
        if note.is_rest() {
            self.remarks.warn(tied.span, "a tie into a rest was left out");
            return;
        }
        self.ties_as_slurs.get_or_insert((0, tied.span)).0 += 1;
        note.slurs_stop = note.slurs_stop.saturating_add(1);
        if let Some(from) = self.note_at(tied.from) {
            from.slurs_start = from.slurs_start.saturating_add(1);
        }
    }

    pub(super) fn untie(&mut self, tied: &Tied) {
        if let Some(from) = self.note_at(tied.from) {
            from.tie.to_next = false;
        }
    }
}
