//! What only the whole voice tells: lengths, numbers, coda signs, and measures that do not fit their meter.

use super::remarks::Remarks;
use super::voice::{Draft, add_jump};
use crate::diagnostic::{Span, excerpt};
use crate::read::SourceMap;
use music::{Barline, Beats, Ending, Jump, MeterSign, SheetMeasure};

/// Finished measures with their places in the source.
pub struct Finished {
    pub measures: Vec<SheetMeasure>,
    pub sources: SourceMap,
}

/// Completes the measures of a voice.
pub fn finish(mut drafts: Vec<Draft>, remarks: &mut Remarks) -> Finished {
    for draft in &mut drafts {
        let mut at = Beats::ZERO;
        for note in &mut draft.measure.notes {
            note.at = at;
            at += note.length;
        }
        draft.measure.frame.length = at;
        draft.measure.frame.chords.retain(|c| c.at < at);
        draft.measure.frame.chords.sort_by_key(|c| c.at);
    }
    place_codas(&mut drafts, remarks);
    let spans: Vec<Span> = drafts.iter().map(|d| d.span.unwrap_or(Span { line: 1, column: 1, width: 1 })).collect();
    let mut measures: Vec<SheetMeasure> = drafts.into_iter().map(|d| d.measure).collect();
    close_long_endings(&mut measures, &spans, remarks);
    number(&mut measures);
    check_lengths(&measures, &spans, remarks);
    Finished { measures, sources: SourceMap { measures: spans } }
}

/// The first of two coda signs is the way to the coda, the last one the coda; a sign that opens a measure stands at the bar line before it.
fn place_codas(drafts: &mut [Draft], remarks: &mut Remarks) {
    let places: Vec<(usize, Beats)> = drafts.iter().enumerate().flat_map(|(i, d)| d.codas.iter().map(move |at| (i, *at))).collect();
    let has_way = drafts.iter().any(|d| d.measure.frame.jumps.contains(&Jump::ToCoda));
    let Some(((last, at), before)) = places.split_last() else { return };
    for (i, at) in before {
        let measure = if at.is_zero() { i.saturating_sub(1) } else { *i };
        add_jump(&mut drafts[measure].measure.frame, Jump::ToCoda);
    }
    if let (true, Some(span)) = (before.is_empty() && !has_way, drafts[*last].span) {
        remarks.note(span, "a coda sign without a second one: it was taken for the coda itself");
    }
    let at_end = *at == drafts[*last].measure.frame.length;
    let coda = if at_end { (last + 1).min(drafts.len() - 1) } else { *last };
    add_jump(&mut drafts[coda].measure.frame, Jump::Coda);
}

/// A section is at least this many measures long, an ending rarely.
const SHORTEST_SECTION: usize = 4;

/// Often nothing says where the last ending is over (4.9). It is as long as the first one where it runs on for a whole section more and
/// closes with a repeat sign, to which no further ending belongs: that sign is the new section's.
fn close_long_endings(measures: &mut [SheetMeasure], spans: &[Span], remarks: &mut Remarks) {
    let mut first = None;
    let mut from = 0;
    while from < measures.len() {
        let Some(passes) = measures[from].frame.ending.as_ref().map(|e| e.passes.clone()) else {
            from += 1;
            continue;
        };
        let goes_on = |m: &&SheetMeasure| m.frame.ending.as_ref().is_some_and(|e| !e.starts);
        let to = from + 1 + measures[from + 1..].iter().take_while(goes_on).count();
        if passes.contains(&1) {
            first = Some(to - from);
        } else if let Some(over) = first.map(|length| from + length).filter(|over| over + SHORTEST_SECTION <= to) {
            let last_of_all = measures.get(to).is_none_or(|m| m.frame.ending.is_none());
            if last_of_all && measures[to - 1].frame.repeat_end.is_some() {
                measures[over..to].iter_mut().for_each(|m| m.frame.ending = None);
                measures[over - 1].frame.ending = Some(Ending { passes, starts: over == from + 1, stops: true });
                remarks.note(spans[over], "nothing says where the last ending is over: it was taken to be as long as the first");
            }
        }
        from = to;
    }
}

/// Whether something ends or begins at the front of a measure, so that measures may be split there.
fn is_seam(measures: &[SheetMeasure], i: usize) -> bool {
    let Some(before) = i.checked_sub(1).map(|b| &measures[b].frame) else { return true };
    let Some(here) = measures.get(i).map(|m| &m.frame) else { return true };
    before.repeat_end.is_some()
        || before.right != Barline::Plain
        || here.repeat_start
        || here.section.is_some()
        || here.ending.as_ref().is_some_and(|e| e.starts)
        || here.meter != before.meter
}

/// Numbers the measures: a short first one is the pickup, 0; the second part of a measure split at a seam keeps the number of its first
/// part.
fn number(measures: &mut [SheetMeasure]) {
    let mut number = 0;
    let mut filled = Beats::ZERO;
    // How full the measure was where the first of a group of endings began.
    let mut before_endings = Beats::ZERO;
    for i in 0..measures.len() {
        let frame = &measures[i].frame;
        let (length, full, free) = (frame.length, frame.meter.length(), frame.meter.sign == MeterSign::Free);
        let pickup = i == 0 && length < full && measures.len() > 1 && !free;
        if let Some(ending) = frame.ending.as_ref().filter(|e| e.starts) {
            match ending.passes.first() {
                Some(1) => before_endings = filled,
                _ => filled = before_endings,
            }
        }
        let completes = i > 0 && !free && !filled.is_zero() && filled < full && filled + length <= full && is_seam(measures, i);
        if !pickup && !completes {
            number += 1;
            filled = Beats::ZERO;
        }
        filled = if pickup { full } else { filled + length };
        measures[i].frame.number = number.into();
    }
}

fn check_lengths(measures: &[SheetMeasure], spans: &[Span], remarks: &mut Remarks) {
    for (i, (measure, span)) in measures.iter().zip(spans).enumerate() {
        let frame = &measure.frame;
        let (length, full) = (frame.length, frame.meter.length());
        let short_is_good = is_seam(measures, i) || is_seam(measures, i + 1);
        if frame.meter.sign == MeterSign::Free || length == full || length < full && short_is_good {
            continue;
        }
        let meter = excerpt(&frame.meter.to_string());
        let message = format!("{} holds {length} quarter notes where the meter {meter} asks for {full}", frame.number.in_words());
        remarks.note(*span, message);
    }
}
