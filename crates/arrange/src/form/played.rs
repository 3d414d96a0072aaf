//! The tune as it is played through once, in whole measures, and pieces cut from its end.

use harmony::phrases::breaths::breaths;
use music::order::playing_order;
use music::{Beats, Decoration, Frame, Key, LeadSheet, Meter, Note, Pitch, PlacedChord, SheetMeasure, Tie};

/// The measures of one time through up to the one in which the last note comes to rest; what a repeat split is whole again. Every measure says its chord at its
/// start, if there is one.
#[derive(Clone, Debug)]
pub struct Played {
    measures: Vec<SheetMeasure>,
    /// How much the very last measure lacks to be full: what a pickup that follows will fill.
    pub gap: Beats,
    /// The length of the pickup before the first measure.
    pub pickup: Beats,
    pub first_note: Option<Pitch>,
    pub last_note: Option<Pitch>,
    /// For each measure, how much of the measure before it belongs to the phrase that begins in it, where that is a pickup.
    leads: Vec<Beats>,
}

impl Played {
    /// `None` for a tune without measures.
    pub fn of(sheet: &LeadSheet) -> Option<Played> {
        let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
        let mut measures: Vec<SheetMeasure> = Vec::new();
        let mut holding: Option<PlacedChord> = None;
        for (place, index) in playing_order(&frames).measures.into_iter().enumerate() {
            let mut measure = bare(&sheet.measures[index]);
            say_chord(&mut measure, &mut holding);
            match measures.last_mut().filter(|before| place > 1 && completes(before, &measure)) {
                Some(before) => join(before, measure),
                None => measures.push(measure),
            }
        }
        let first = measures.first()?;
        let pickup = if !first.frame.is_full() && measures.len() > 1 { first.frame.length } else { Beats::ZERO };
        let notes = || measures.iter().flat_map(|m| &m.notes).filter(|n| !n.is_rest());
        let (first_note, last_note) = (notes().next().and_then(Note::top), notes().next_back().and_then(Note::top));
        let leads = leads(&measures);
        let last = &measures[measures.len() - 1].frame;
        let gap = (last.meter.length() - last.length).max(Beats::ZERO);
        measures.truncate(rest(&measures) + 1);
        Some(Played { pickup, gap, first_note, last_note, leads, measures })
    }

    pub fn meter(&self) -> &Meter {
        &self.opening().meter
    }

    pub fn key(&self) -> &Key {
        &self.opening().key
    }

    fn opening(&self) -> &Frame {
        let first = usize::from(!self.pickup.is_zero());
        &self.measures[first].frame
    }

    pub fn last(&self) -> &SheetMeasure {
        &self.measures[self.measures.len() - 1]
    }

    /// The last measures, if they are whole but for the very last, and in one meter and key, at most half the tune; and how much of the measure before leads
    /// into them. Ties from outside are cut.
    pub fn tail(&self, count: usize) -> Option<Tail> {
        let from = self.measures.len().checked_sub(count)?;
        let (whole, first) = (&self.measures[from..], usize::from(!self.pickup.is_zero()));
        if from < first + count || whole[..count - 1].iter().any(|m| !m.frame.is_full() || m.frame.length > m.frame.meter.length()) {
            return None;
        }
        let one = |m: &SheetMeasure| (&m.frame.meter, &m.frame.key) == (&whole[0].frame.meter, &whole[0].frame.key);
        if !whole.iter().all(one) || self.last().frame.length > self.last().frame.meter.length() {
            return None;
        }
        let mut measures = whole.to_vec();
        untie(&mut measures);
        let lead = self.lead(from);
        Some(Tail { measures, lead })
    }

    /// The notes of the measure before one that lead into it as a pickup.
    fn lead(&self, measure: usize) -> Option<SheetMeasure> {
        let length = self.leads[measure];
        let before = &self.measures[measure.checked_sub(1)?];
        let from = before.frame.length - length;
        if length.is_zero() || length * 2 > before.frame.meter.length() {
            return None;
        }
        let notes: Vec<Note> = before.notes.iter().filter(|n| n.at >= from).map(|n| Note { at: n.at - from, ..n.clone() }).collect();
        let mut lead = vec![SheetMeasure { frame: Frame { length, chords: Vec::new(), ..before.frame.clone() }, notes }];
        untie(&mut lead);
        lead.pop().filter(|l| l.notes.first().is_some_and(|n| n.at.is_zero() && !n.is_rest()))
    }
}

/// The measure in which the last note comes to rest: where it begins, or, where that is after the middle, the next one.
fn rest(measures: &[SheetMeasure]) -> usize {
    let begins = measures.iter().enumerate().rev().find_map(|(m, measure)| Some((m, measure.notes.iter().rfind(|n| n.is_plucked())?)));
    let Some((measure, note)) = begins else { return measures.len() - 1 };
    let late = note.at * 2 >= measures[measure].frame.length && note.tie.to_next;
    (measure + usize::from(late)).min(measures.len() - 1)
}

/// The end of a tune, cut off.
#[derive(Clone, Debug)]
pub struct Tail {
    pub measures: Vec<SheetMeasure>,
    /// The pickup that leads into it.
    pub lead: Option<SheetMeasure>,
}

/// A measure without what belongs to its place on the page: signs, words, tempos, syllables, slurs and fermatas.
fn bare(measure: &SheetMeasure) -> SheetMeasure {
    let frame = &measure.frame;
    let plain =
        Frame { length: frame.length, chords: frame.chords.clone(), ..Frame::plain(frame.number, frame.meter.clone(), frame.key.clone()) };
    let kept = |d: &Decoration| !matches!(d, Decoration::Fermata | Decoration::Breath | Decoration::Dynamic(_));
    let note = |n: &Note| Note {
        slurs_start: 0,
        slurs_stop: 0,
        syllables: Vec::new(),
        decorations: n.decorations.iter().filter(|d| kept(d)).cloned().collect(),
        ..n.clone()
    };
    SheetMeasure { frame: plain, notes: measure.notes.iter().map(note).collect() }
}

fn say_chord(measure: &mut SheetMeasure, holding: &mut Option<PlacedChord>) {
    let chords = &mut measure.frame.chords;
    chords.sort_by_key(|c| c.at);
    if chords.first().is_none_or(|c| !c.at.is_zero())
        && let Some(before) = holding.as_ref()
    {
        chords.insert(0, PlacedChord { at: Beats::ZERO, ..before.clone() });
    }
    *holding = chords.last().cloned().or_else(|| holding.take());
}

fn completes(before: &SheetMeasure, here: &SheetMeasure) -> bool {
    let (a, b) = (&before.frame, &here.frame);
    !a.is_full() && !b.is_full() && a.meter == b.meter && a.key == b.key && a.length + b.length == a.meter.length()
}

fn join(before: &mut SheetMeasure, here: SheetMeasure) {
    let at = before.frame.length;
    let same = before.frame.chords.last().map(|c| c.symbol.clone());
    let chords = here.frame.chords.into_iter().filter(|c| !c.at.is_zero() || Some(&c.symbol) != same.as_ref());
    before.frame.chords.extend(chords.map(|c| PlacedChord { at: at + c.at, ..c }));
    before.notes.extend(here.notes.into_iter().map(|n| Note { at: at + n.at, ..n }));
    before.frame.length += here.frame.length;
}

/// Cuts the ties that reach over either edge.
fn untie(measures: &mut [SheetMeasure]) {
    if let Some(first) = measures.first_mut().and_then(|m| m.notes.first_mut()) {
        first.tie = Tie { from_before: false, ..first.tie };
    }
    if let Some(last) = measures.last_mut().and_then(|m| m.notes.last_mut()) {
        last.tie = Tie { to_next: false, ..last.tie };
    }
}

/// Where a phrase begins in the last half of a measure, what it has of that measure leads into the next.
fn leads(measures: &[SheetMeasure]) -> Vec<Beats> {
    let sheet = LeadSheet { measures: measures.to_vec(), ..LeadSheet::default() };
    let mut leads = vec![Beats::ZERO; measures.len()];
    for breath in breaths(&sheet).into_iter().filter(|b| b.measure + 1 < measures.len() && !b.at.is_zero()) {
        leads[breath.measure + 1] = measures[breath.measure].frame.length - breath.at;
    }
    leads
}
