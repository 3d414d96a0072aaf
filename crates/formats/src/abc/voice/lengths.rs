//! Written lengths in musical time: units, broken rhythm, tuplets (ABC 2.1, 4.3, 4.4, 4.13).

use super::super::scan::Length;
use super::{Group, Voice};
use crate::diagnostic::Span;
use crate::read::LONGEST_MEASURE;
use music::{Beats, Tuplet, TupletEdge};

impl Voice {
    /// A written length in musical time.
    pub(super) fn length(&mut self, written: Length, span: Span) -> Beats {
        if written.above == 0 {
            self.remarks.warn(span, "a length of nothing was read as one unit");
            return self.settings.unit;
        }
        let unit = self.settings.unit.fraction();
        let length = self.exact(unit.0.saturating_mul(written.above), unit.1.saturating_mul(written.below), span);
        self.bounded(length, span)
    }

    /// A note lasts no longer than a measure may.
    fn bounded(&mut self, length: Beats, span: Span) -> Beats {
        let longest = Beats::WHOLE * LONGEST_MEASURE;
        if length > longest {
            let message = format!("a note longer than {LONGEST_MEASURE} whole notes was cut to that length");
            self.remarks.advise(span, message, "check the number behind the note, and the unit \"L:\"");
        }
        length.min(longest)
    }

    /// A fraction of quarter notes; one that no grid fits is rounded to a 1024th of a quarter, and never to nothing.
    pub(super) fn exact(&mut self, above: i64, below: i64, span: Span) -> Beats {
        if let Some(length) = Beats::quarters(above, below) {
            return length;
        }
        self.remarks.note(span, "a length that divides too finely was rounded");
        let grains = (i128::from(above) * 1024 / i128::from(below.max(1))).clamp(1, 1024 * 4 * i128::from(LONGEST_MEASURE));
        Beats::quarters(grains as i64, 1024).expect("a power of two is exact")
    }

    pub(super) fn scaled(&mut self, length: Beats, factor: Length, span: Span) -> Beats {
        if let Some(scaled) = length.scaled(factor.above, factor.below).filter(|l| *l > Beats::ZERO) {
            return self.bounded(scaled, span);
        }
        let (above, below) = length.fraction();
        self.exact(above.saturating_mul(factor.above), below.saturating_mul(factor.below), span)
    }

    /// `>` and `<` (4.4): the note before and the note after share their time unequally.
    pub(super) fn break_rhythm(&mut self, count: i32, span: Span) {
        if count.abs() > 3 {
            self.remarks.warn(span, "a broken rhythm of more than three marks was read as three");
        }
        let parts = 1_i64 << count.abs().min(3);
        let (long, short) = (Length { above: 2 * parts - 1, below: parts }, Length { above: 1, below: parts });
        let (before, after) = if count > 0 { (long, short) } else { (short, long) };
        let Some(old) = self.last_note().map(|n| n.length) else {
            self.remarks.warn(span, "a broken rhythm without a note before it was left out");
            return;
        };
        let new = self.scaled(old, before, span);
        if let Some(note) = self.last_note() {
            note.length = new;
        }
        if !self.measure_is_empty() {
            self.at = self.at + new - old;
        }
        self.broken = Some(after);
    }

    /// `(p:q:r` (4.13): p notes in the time of q for the next r notes.
    pub(super) fn tuplet(&mut self, actual: i64, normal: Option<i64>, notes: Option<i64>, span: Span) {
        let by_meter = if self.settings.meter.is_compound() { 3 } else { 2 };
        let usual = match actual {
            2 | 4 | 8 => 3,
            3 | 6 => 2,
            _ => by_meter,
        };
        let (normal, notes) = (normal.unwrap_or(usual), notes.unwrap_or(actual));
        let good = (1..=64).contains(&actual) && (1..=64).contains(&normal) && (1..=256).contains(&notes);
        if !good {
            self.remarks.warn(span, "a tuplet with such numbers is not read: expected two to nine notes");
            return;
        }
        self.end_tuplet();
        self.group = Some(Group { actual: actual as u32, normal: normal as u32, notes, left: notes });
    }

    pub(super) fn tuplet_edge(&mut self) -> Option<Tuplet> {
        let group = self.group.as_mut()?;
        let edge = match group.left {
            _ if group.notes == 1 => TupletEdge::Inside,
            left if left == group.notes => TupletEdge::Start,
            1 => TupletEdge::Stop,
            _ => TupletEdge::Inside,
        };
        group.left -= 1;
        let tuplet = Tuplet { actual: group.actual, normal: group.normal, edge };
        if group.left == 0 {
            self.group = None;
        }
        Some(tuplet)
    }

    /// A tuplet that stops short of its notes ends with the last one it has.
    pub(super) fn end_tuplet(&mut self) {
        let Some(group) = self.group.take().filter(|g| g.left < g.notes) else { return };
        if let Some(tuplet) = self.last_note().and_then(|n| n.tuplet.as_mut()) {
            tuplet.edge = if group.left + 1 == group.notes { TupletEdge::Inside } else { TupletEdge::Stop };
        }
    }
}
