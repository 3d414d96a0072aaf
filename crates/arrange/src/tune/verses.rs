//! The verses of a tune one after another: as it is written, or written out in playing order with its signs taken away.

use super::Origin;
use crate::measures::SourceMeasure;
use music::order::playing_order;
use music::{Barline, Beats, Clock, Frame, Jump, LeadSheet, Place, SheetMeasure, Tempo};
use std::collections::BTreeMap;

pub(super) fn as_written(sheet: &LeadSheet) -> (LeadSheet, Vec<Origin>) {
    let origin = (0..sheet.measures.len()).map(|index| Origin::Tune { source: SourceMeasure::at(index), verse: 0 }).collect();
    (sheet.clone(), origin)
}

pub(super) fn write_out(sheet: &LeadSheet, verses: usize, tempo: Tempo) -> (LeadSheet, Vec<Origin>) {
    let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
    let order: Vec<SourceMeasure> = playing_order(&frames).measures.into_iter().map(SourceMeasure::at).collect();
    let lines = lyric_lines(sheet);
    let mut times = vec![0; sheet.measures.len()];
    order.iter().for_each(|source| times[source.index()] += 1);
    let mut seams = Seams::new(sheet, tempo);
    let mut measures: Vec<SheetMeasure> = Vec::new();
    let mut origin: Vec<Origin> = Vec::new();
    for verse in 0..verses {
        let mut heard = vec![0; sheet.measures.len()];
        for (place, source) in order.iter().enumerate() {
            let mut measure = sheet.measures[source.index()].clone();
            if measure.frame.repeat_start
                && place > 0
                && let Some(before) = measures.last_mut()
            {
                before.frame.right = Barline::Double;
            }
            flatten(&mut measure.frame);
            let before = order_before(&order, place)
                .filter(|_| !origin.is_empty())
                .map(|o| (o, if place == 0 { Close::OfVerse } else { Close::OfMeasure }));
            measure.frame.tempos.splice(0..0, before.and_then(|(before, close)| seams.mark(before, close, *source)));
            keep_line(&mut measure, verse * times[source.index()] + heard[source.index()], lines);
            heard[source.index()] += 1;
            if place + 1 == order.len() {
                measure.frame.right = if verse + 1 == verses { Barline::Final } else { Barline::Double };
            }
            measures.push(measure);
            origin.push(Origin::Tune { source: *source, verse });
        }
    }
    number(&mut measures);
    (LeadSheet { measures, ..sheet.clone() }, origin)
}

/// The measure that is played before a place of the order; before the first the last.
fn order_before(order: &[SourceMeasure], place: usize) -> Option<SourceMeasure> {
    order.get(place.checked_sub(1).unwrap_or(order.len().checked_sub(1)?)).copied()
}

/// What closes a measure before a seam.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Close {
    OfMeasure,
    /// The bar line that a verse ends with.
    OfVerse,
}

/// Where measures meet that do not stand side by side on the tune's own page.
pub(super) struct Seams<'a> {
    sheet: &'a LeadSheet,
    tempo: Tempo,
    clock: Clock,
    left: BTreeMap<(SourceMeasure, Close), Option<Tempo>>,
}

impl Seams<'_> {
    pub fn new(sheet: &LeadSheet, tempo: Tempo) -> Seams<'_> {
        Seams { sheet, tempo, clock: Clock::of_sheet(sheet, tempo), left: BTreeMap::new() }
    }

    /// The mark that a measure needs after another, so that the tempo of its own page holds in it.
    pub fn mark(&mut self, before: SourceMeasure, close: Close, here: SourceMeasure) -> Option<(Beats, Tempo)> {
        let marked = self.sheet.measures[here.index()].frame.tempos.iter().any(|m| m.0.is_zero());
        if marked || before.next() == here || self.is_steady() {
            return None;
        }
        let stands = self.clock.tempo(Place { measure: here.index(), at: Beats::ZERO });
        (self.left(before, close) != Some(stands)).then_some((Beats::ZERO, stands))
    }

    /// One tempo and no words of another: nothing can differ.
    fn is_steady(&self) -> bool {
        self.clock.is_steady()
    }

    /// The tempo that would hold after a measure if the page went on plainly; `None` where it is still changing.
    fn left(&mut self, before: SourceMeasure, close: Close) -> Option<Tempo> {
        let (sheet, tempo) = (self.sheet, self.tempo);
        *self.left.entry((before, close)).or_insert_with(|| {
            let mut measures = sheet.measures[..=before.index()].to_vec();
            let last = &mut measures[before.index()].frame;
            if close == Close::OfVerse {
                last.right = Barline::Double;
            }
            let plain = Frame::plain(last.number, last.meter.clone(), last.key.clone());
            measures.push(SheetMeasure { frame: plain, notes: Vec::new() });
            let tempos = Clock::of_sheet(&LeadSheet { measures, ..LeadSheet::default() }, tempo).tempos(before.next().index());
            if let [(_, only)] = tempos.as_slice() { Some(*only) } else { None }
        })
    }
}

fn flatten(frame: &mut Frame) {
    let leaves = |jump: &Jump| !matches!(jump, Jump::Segno | Jump::Coda);
    let section_end = frame.repeat_end.is_some() || frame.right == Barline::Final || frame.jumps.iter().any(leaves);
    frame.right = if section_end { Barline::Double } else { frame.right };
    frame.left = Barline::None;
    (frame.repeat_start, frame.repeat_end, frame.ending) = (false, None, None);
    frame.jumps.clear();
}

fn lyric_lines(sheet: &LeadSheet) -> u32 {
    let all = sheet.measures.iter().flat_map(|m| &m.notes).flat_map(|n| &n.syllables);
    all.map(|s| s.verse).max().unwrap_or(0)
}

/// Of several lines of words, the one for this time through: each verse has its own, and so has each pass of a repeat; after the last line the first comes again.
fn keep_line(measure: &mut SheetMeasure, time: usize, lines: u32) {
    if lines >= 2 {
        let line = (time as u32) % lines + 1;
        for note in &mut measure.notes {
            note.syllables.retain(|s| s.verse == line);
            note.syllables.iter_mut().for_each(|s| s.verse = 1);
        }
    }
}

/// Measure numbers run on through the verses; a measure completed by a pickup counts once.
fn number(measures: &mut [SheetMeasure]) {
    let mut next = 1;
    let mut half: Option<Beats> = None;
    for measure in measures {
        let frame = &mut measure.frame;
        let full = frame.meter.length();
        match half {
            Some(before) if !frame.is_full() && before + frame.length <= full => {
                frame.number = (next - 1).into();
                half = None;
            }
            _ if !frame.is_full() && next == 1 => frame.number = 0.into(),
            _ => {
                frame.number = next.into();
                next += 1;
                half = (!frame.is_full()).then_some(frame.length);
            }
        }
    }
}
