//! Puts what was added before, between and after the verses, so that the signs of the tune go on meaning what they meant.
//!
//! A repeat without a partner goes back to the tune's first measure, not to the introduction: it takes a sign of its own. D.C. becomes D.S., with the sign at
//! the tune's first measure; Fine before an ending becomes a way to the coda, which the ending is.

use super::Origin;
use super::verses::{Close, Seams};
use crate::form::{Added, Made};
use crate::measures::SourceMeasure;
use music::{Barline, Beats, ChordOrigin, ChordSymbol, Harmony, Jump, LeadSheet, PlacedChord, SheetMeasure, Tempo};

/// Whether the tune's own signs cannot stand beside those that added parts need.
pub fn needs_writing_out(sheet: &LeadSheet, added: &Added) -> bool {
    let has = |jump: Jump| sheet.measures.iter().any(|m| m.frame.jumps.contains(&jump));
    let back = has(Jump::DaCapo) || has(Jump::DalSegno);
    let two_signs = added.leads_in() && has(Jump::DaCapo) && has(Jump::Segno);
    let two_codas = added.ending.is_some() && has(Jump::Fine) && (has(Jump::Coda) || has(Jump::ToCoda));
    back && (two_signs || two_codas)
}

/// The laid-out verses with everything round them.
pub fn put(source: &LeadSheet, own: (LeadSheet, Vec<Origin>), added: &Added, tempo: Tempo) -> (LeadSheet, Vec<Origin>) {
    let (sheet, origin) = own;
    if added.is_empty() || sheet.measures.is_empty() {
        return (sheet, origin);
    }
    let mut own = sheet.measures.clone();
    if added.leads_in() {
        keep_the_start(&mut own);
    }
    let coda = added.ending.is_some() && make_way(&mut own) == Way::ToCoda;
    let verses = origin.last().map_or(0, |o| o.verse());
    let mut all = Laid { measures: Vec::new(), origin: Vec::new() };
    [&added.introduction, &added.vamp].into_iter().flatten().for_each(|made| all.add(made, 0));
    for verse in 0..=verses {
        let here = || (0..own.len()).filter(|m| origin[*m].verse() == verse);
        if let (Some(made), true) = (&added.interlude, verse > 0) {
            let at = all.measures.len();
            all.add(made, verse);
            all.measures[at].frame.tempos.extend(back_to_the_opening(source, &origin, tempo));
        }
        let at = all.measures.len();
        all.measures.extend(here().map(|m| own[m].clone()));
        all.origin.extend(here().map(|m| origin[m]));
        if at > 0 && (verse == 0 || added.interlude.is_some()) {
            begin_afresh(&mut all.measures[at..]);
        }
    }
    let end = all.measures.len();
    added.ending.iter().for_each(|made| all.add(made, verses));
    if let Some(first) = all.measures.get_mut(end).filter(|_| coda) {
        first.frame.jumps.push(Jump::Coda);
    }
    if let Some(last) = all.measures.last_mut().filter(|_| added.ending.is_some()) {
        last.frame.right = Barline::Final;
    }
    (LeadSheet { measures: all.measures, ..sheet }, all.origin)
}

struct Laid {
    measures: Vec<SheetMeasure>,
    origin: Vec<Origin>,
}

impl Laid {
    /// A part beside a verse; a second interlude is counted on from the first.
    fn add(&mut self, made: &Made, verse: usize) {
        let before = self.measures.iter().map(|m| m.frame.number).filter(|n| n.part == made.part).map(|n| n.count).max().unwrap_or(0);
        if let Some(last) = self.measures.last_mut().filter(|m| m.frame.repeat_end.is_none()) {
            last.frame.right = Barline::Double;
        }
        for (place, (measure, fuller)) in made.measures.iter().zip(&made.fuller).enumerate() {
            let mut measure = measure.clone();
            measure.frame.number.count += before;
            self.measures.push(measure);
            self.origin.push(Origin::Added { part: made.part, place, verse, fuller: *fuller, least: made.least });
        }
        if let Some(last) = self.measures.last_mut().filter(|m| m.frame.repeat_end.is_none()) {
            last.frame.right = Barline::Double;
        }
    }
}

/// Whatever goes back to the beginning of the page goes on going back to the tune's first measure.
fn keep_the_start(own: &mut [SheetMeasure]) {
    let opens = own.iter().position(|m| m.frame.repeat_start).unwrap_or(own.len());
    let goes_back = |m: &SheetMeasure| m.frame.repeat_end.is_some() || m.frame.ending.is_some();
    if own.iter().take(opens.max(1)).any(goes_back) {
        own[0].frame.repeat_start = true;
    }
    let mut to_the_start = false;
    for jump in own.iter_mut().flat_map(|m| &mut m.frame.jumps).filter(|j| **j == Jump::DaCapo) {
        *jump = Jump::DalSegno;
        to_the_start = true;
    }
    if to_the_start {
        own[0].frame.jumps.insert(0, Jump::Segno);
    }
}

/// How the ending is reached.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    FromTheLast,
    ToCoda,
}

/// The tune no longer ends the piece.
fn make_way(own: &mut [SheetMeasure]) -> Way {
    let mut way = Way::FromTheLast;
    let goes_back = |m: &SheetMeasure| m.frame.jumps.iter().any(|j| matches!(j, Jump::DaCapo | Jump::DalSegno));
    if own.iter().any(goes_back) {
        for measure in own.iter_mut().filter(|m| m.frame.jumps.contains(&Jump::Fine)) {
            measure.frame.jumps.iter_mut().filter(|j| **j == Jump::Fine).for_each(|j| *j = Jump::ToCoda);
            measure.frame.right = if measure.frame.right == Barline::Final { Barline::Double } else { measure.frame.right };
            way = Way::ToCoda;
        }
    }
    if let Some(last) = own.last_mut().filter(|m| m.frame.right == Barline::Final && m.frame.repeat_end.is_none()) {
        last.frame.right = Barline::Double;
    }
    way
}

/// A verse whose first measure has no chord yet does not take over that of what was put before it.
fn begin_afresh(verse: &mut [SheetMeasure]) {
    let first = usize::from(verse.len() > 1 && !verse[0].frame.is_full());
    let led_in = verse[..first].iter().any(|m| !m.frame.chords.is_empty());
    let Some(frame) = verse.get_mut(first).map(|m| &mut m.frame) else { return };
    if !led_in && !frame.chords.iter().any(|c| c.at.is_zero()) {
        // A silence that comes a little later begins at once.
        if frame.chords.first().is_some_and(|c| c.symbol.harmony == Harmony::NoChord) {
            frame.chords.remove(0);
        }
        let silence = ChordSymbol { harmony: Harmony::NoChord, source: "N.C.".into() };
        frame.chords.insert(0, PlacedChord::new(Beats::ZERO, silence).with(ChordOrigin::Ours));
    }
}

/// The mark that an interlude needs so that the tempo of the opening holds in it, and in the verse after it.
fn back_to_the_opening(source: &LeadSheet, origin: &[Origin], tempo: Tempo) -> Option<(Beats, Tempo)> {
    let last = origin.last().and_then(|o| o.source())?;
    Seams::new(source, tempo)
        .mark(last, Close::OfVerse, SourceMeasure::FIRST)
        .or_else(|| source.measures[SourceMeasure::FIRST.index()].frame.tempos.iter().find(|t| t.0.is_zero()).copied())
}
