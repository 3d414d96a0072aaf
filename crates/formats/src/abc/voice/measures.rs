//! Where measures end: bar signs, repeats, endings, new parts, the end of the voice (ABC 2.1, 4.8 to 4.10).

use super::super::bars::Bar;
use super::{Draft, Layer, Voice, counted};
use crate::diagnostic::Span;
use crate::read::MOST_MEASURES;
use music::{Barline, Beats, Ending};

impl Voice {
    /// A bar sign, or the number of an ending.
    pub(super) fn bar(&mut self, bar: &Bar, span: Span) {
        (self.layer, self.line_full) = (Layer::First, None);
        self.signs_at_bar();
        if !self.measure_is_empty() {
            self.close(if bar.drawn { bar.line } else { Barline::None }, span);
        } else if let Some(last) = self.measures.last_mut() {
            if matches!(bar.line, Barline::Double | Barline::Final) {
                last.measure.frame.right = bar.line;
            }
        } else if bar.drawn && bar.opens == 0 {
            self.draft.measure.frame.left = bar.line;
        }
        if bar.drawn {
            self.accidentals.clear();
        }
        if bar.closes > 0 {
            self.close_repeat(bar.closes, span);
        }
        if bar.is_strong() {
            self.end_ending();
        }
        if bar.opens > 0 {
            self.draft.measure.frame.repeat_start = true;
            self.times = bar.opens + 1;
        }
        if !bar.endings.is_empty() {
            self.start_ending(bar.endings.clone(), span);
        }
    }

    pub(super) fn close_repeat(&mut self, colons: u32, span: Span) {
        let times = (colons + 1).max(std::mem::take(&mut self.times));
        match self.measures.last_mut() {
            Some(last) => last.measure.frame.repeat_end = Some(times),
            None => self.remarks.warn(span, "a repeat sign with nothing to repeat was left out"),
        }
    }

    /// Ends the measure.
    pub(super) fn close(&mut self, line: Barline, span: Span) {
        self.draft.measure.frame.right = line;
        self.draft.reach(span);
        let mut next = Draft::new(&self.settings);
        next.measure.frame.section = self.section.take();
        next.measure.frame.ending = self.ending.clone().map(|passes| Ending { passes, starts: false, stops: false });
        self.measures.push(std::mem::replace(&mut self.draft, next));
        self.at = Beats::ZERO;
        if self.measures.len() > MOST_MEASURES {
            self.fail(span, format!("the tune has more than {MOST_MEASURES} measures, the most that is read"));
        }
    }

    pub(super) fn start_ending(&mut self, passes: Vec<u32>, span: Span) {
        if self.ending.is_some()
            && let Some(last) = self.measures.last_mut().filter(|d| d.measure.frame.repeat_end.is_none())
        {
            last.measure.frame.repeat_end = Some(2);
            self.remarks.note(span, "an ending follows another without a repeat sign: one was assumed");
        }
        self.end_ending();
        self.draft.measure.frame.ending = Some(Ending { passes: passes.clone(), starts: true, stops: false });
        self.ending = Some(passes);
    }

    pub(super) fn end_ending(&mut self) {
        self.ending = None;
        self.draft.measure.frame.ending = None;
        if let Some(ending) = self.measures.last_mut().and_then(|d| d.measure.frame.ending.as_mut()) {
            ending.stops = true;
        }
    }

    /// A field on a line of its own begins something new: an unfinished measure ends before it.
    pub fn break_measure(&mut self, span: Span) {
        if let Some(place) = self.line_full.take() {
            self.close(Barline::Plain, place);
        } else if !self.measure_is_empty() {
            self.remarks.note(span, "a new part or meter begins before a bar line: one was assumed");
            self.close(Barline::Plain, span);
        }
        self.accidentals.clear();
    }

    /// A label at the head of the next measure that has no notes yet.
    pub fn section(&mut self, label: String) {
        if self.measure_is_empty() {
            self.draft.measure.frame.section = Some(label);
        } else {
            self.section = Some(label);
        }
    }

    /// The voice is at its end: the last measure is closed, and what still waits is let go.
    pub fn end(&mut self, span: Span) {
        self.signs_at_bar();
        if !self.measure_is_empty() {
            self.close(Barline::Plain, span);
        }
        self.end_ending();
        if let Some(tied) = self.tied.take() {
            self.untie(&tied);
            self.remarks.note(tied.span, "a tie at the end of the tune leads nowhere");
        }
        if let Some((count, first)) = self.ties_as_slurs {
            self.remarks
                .note(first, format!("{} read as slurs", counted(count, "tie between different notes", "ties between different notes")));
        }
        if !self.chords.is_empty() {
            self.remarks.warn(span, "a chord symbol after the last note was left out");
        }
        self.end_slurs(span);
        self.end_tuplet();
        if !self.grace.is_empty() {
            self.remarks.warn(span, "grace notes after the last note were left out");
        }
        let words = std::mem::take(&mut self.draft.measure.frame.words);
        if let Some(last) = self.measures.last_mut() {
            let end = last.measure.notes.iter().map(|n| n.length).sum();
            last.measure.frame.words.extend(words.into_iter().map(|(_, w)| (end, w)));
        }
    }
}
