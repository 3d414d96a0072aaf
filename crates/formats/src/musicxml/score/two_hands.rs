//! From two staves to the score: frames from the upper one, a line of plucks for each, marks, holds.

use super::super::chords;
use super::super::direction::{self, Directions, Scope};
use super::super::document::{MeasureSource, Part};
use super::super::element::Element;
use super::super::jumps;
use super::super::lengths::{self, TooShort};
use super::super::line::Line;
use super::super::marks as frame_marks;
use super::super::measure::Walked;
use super::super::remarks::Remarks;
use super::super::sheet::{self, Walks};
use super::super::split;
use super::marks::Found;
use super::merge;
use super::staves::Chosen;
use super::tones::{self, Source};
use super::{Hold, words};
use crate::diagnostic::excerpt;
use crate::read::MOST_MEASURES;
use music::{
    Beats, Frame, Hand, LeadSheet, MELODY_IN_THE_LEFT_HAND, Mark, Note, PlacedMark, Preparation, Score, ScoreMeasure, Setting,
    SheetMeasure, Tempo, Words, order, time,
};

/// A page of two hands as it was read.
pub struct TwoHands {
    pub score: Score,
    pub tempo: Option<Tempo>,
    pub holds: Vec<Hold>,
}

/// Both hands as two sheets with the same frames, before they become one score.
struct Hands {
    right: LeadSheet,
    left: LeadSheet,
}

/// Makes the page; the second value has the source of each measure. The error says which limit is passed.
pub fn make<'a>(
    parts: &[Part<'a>],
    chosen: Chosen,
    root: Element,
    remarks: &mut Remarks,
) -> Result<(TwoHands, Vec<MeasureSource<'a>>), String> {
    let (mut walks, mut lower) = walked(parts, chosen, remarks);
    let line = Line { staff: chosen.upper.number, voice: "" };
    let mut frames = sheet::frames(&walks.melody, line, remarks);
    lengths::settle(&mut frames, &walks.melody, line, TooShort::Kept, remarks);
    let mut found = Found::new(frames.len());
    for i in 0..frames.len() {
        found.take(i, &mut walks.melody[i], Hand::Right, chosen.upper.number, remarks);
        if let Some(staff) = chosen.lower {
            let measure = lower.as_mut().map_or(Some(&mut walks.melody[i]), |l| l.get_mut(i));
            measure.into_iter().for_each(|m| found.take(i, m, Hand::Left, staff.number, remarks));
        }
    }
    let sources = sources(&walks, &lower, chosen);
    let tones = tones::of(&sources, &frames, remarks);
    found.take_ringing(&tones);
    found.settle(&frames);
    let mut lines: Vec<Vec<Vec<Note>>> = sources.iter().map(|s| merge::line(*s, &tones, &frames, remarks)).collect();
    sources.iter().zip(&mut lines).for_each(|(s, l)| found.put_brackets(s.hand, l));
    sources.iter().zip(&mut lines).for_each(|(s, l)| found.put_crosses(s.hand, l));
    let holds: Vec<Hold> = sources.iter().zip(&lines).flat_map(|(s, l)| merge::holds(s.hand, &tones, l, &frames)).collect();
    let silent = || frames.iter().map(|f| vec![Note::rest(Beats::ZERO, f.length)]).collect();
    let mut lines = lines.into_iter();
    let right: Vec<Vec<Note>> = lines.next().unwrap_or_else(silent);
    let mut left: Vec<Vec<Note>> = lines.next().unwrap_or_else(silent);
    for (dynamics, notes) in found.dynamics.drain(..).zip(&mut left) {
        frame_marks::put_dynamics(dynamics, notes);
    }
    let hands = framed(&walks, line, frames, right, left, words::read(root), remarks);
    finish(hands, &walks, found, holds, words::preparation(root), remarks)
}

/// The walked parts: the upper staff's as the melody's, and the lower staff's where that is another part.
fn walked<'a>(parts: &[Part<'a>], chosen: Chosen, remarks: &mut Remarks) -> (Walks<'a>, Option<Vec<Walked<'a>>>) {
    let mut unsaid = Remarks::new("");
    unsaid.silence();
    let upper = &parts[chosen.upper.part];
    let mut melody = sheet::walk(upper, remarks);
    let lower = chosen.lower.map(|s| s.part).filter(|p| *p != chosen.upper.part).map(|p| sheet::walk(&parts[p], remarks));
    for (above, below) in melody.iter_mut().zip(lower.iter().flatten()) {
        above.extent = above.extent.max(below.extent);
    }
    if let Some(measure) = upper.measures.first() {
        say(parts, chosen, lower.as_ref().map_or(melody.len(), Vec::len), *measure, remarks);
    }
    let has_symbols = |p: &Part| p.measures.iter().any(|m| m.content.children().any(|e| e.has_tag_name("harmony")));
    let symbols = parts.iter().position(has_symbols).filter(|p| *p != chosen.upper.part && !has_symbols(upper));
    let mut lent = |index: usize| sheet::walk(&parts[index], &mut unsaid);
    (Walks { symbols: symbols.map(&mut lent), top: (chosen.upper.part > 0).then(|| lent(0)), melody }, lower)
}

fn say(parts: &[Part], chosen: Chosen, lower: usize, first: MeasureSource, remarks: &mut Remarks) {
    let upper = &parts[chosen.upper.part];
    match chosen.lower {
        None => remarks.warn(first.measure, "only one staff with notes, the other hand is empty", "two staves can be asked for by number"),
        Some(staff) if staff.part != chosen.upper.part => {
            let message = format!(
                "the two hands are read from the parts \"{}\" and \"{}\"",
                excerpt(upper.label()),
                excerpt(parts[staff.part].label())
            );
            remarks.note(first.measure, message, "other staves can be asked for by number");
        }
        Some(_) if parts.len() > 1 => {
            let message = format!("both hands are read from the part \"{}\", one of {}", excerpt(upper.label()), parts.len());
            remarks.note(first.measure, message, "other staves can be asked for by number");
        }
        Some(_) => {}
    }
    if lower != upper.measures.len() {
        let message = format!("the two parts have {} and {lower} measures, as many as the upper one has are read", upper.measures.len());
        remarks.warn(first.measure, message, "");
    }
}

fn sources<'w, 'a>(walks: &'w Walks<'a>, lower: &'w Option<Vec<Walked<'a>>>, chosen: Chosen) -> Vec<Source<'w, 'a>> {
    let upper = Source { hand: Hand::Right, staff: chosen.upper.number, measures: &walks.melody };
    let left = chosen.lower.map(|s| {
        let measures = lower.as_deref().unwrap_or(&walks.melody);
        Source { hand: Hand::Left, staff: s.number, measures }
    });
    std::iter::once(upper).chain(left).collect()
}

/// Chord symbols, tempo, words, dynamics and signs onto the frames and the right hand.
fn framed(
    walks: &Walks,
    line: Line,
    mut frames: Vec<Frame>,
    mut right: Vec<Vec<Note>>,
    left: Vec<Vec<Note>>,
    words: Words,
    remarks: &mut Remarks,
) -> Hands {
    let mut directions: Vec<Directions> = walks.melody.iter().map(|m| direction::read(m, Scope::Staff(line.staff), remarks)).collect();
    for (found, measure) in directions.iter_mut().zip(walks.top.iter().flatten()) {
        found.take_missing(direction::read(measure, Scope::WholeScore, remarks));
    }
    chords::put(walks, line, &mut directions, &right, &mut frames, remarks);
    let mut sheet = LeadSheet { words, ..LeadSheet::default() };
    sheet.tempo = sheet::put_directions(directions, &mut frames, &mut right, &mut sheet.words);
    let sources: Vec<MeasureSource> = walks.melody.iter().map(|m| m.source).collect();
    jumps::say_missing(&frames, &sources, remarks);
    let measures = |notes: Vec<Vec<Note>>| frames.iter().cloned().zip(notes).map(|(frame, notes)| SheetMeasure { frame, notes }).collect();
    Hands { left: LeadSheet { measures: measures(left), ..LeadSheet::default() }, right: LeadSheet { measures: measures(right), ..sheet } }
}

/// All pedals at the first note are how they stand before it.
fn with_pedals(preparation: Preparation, measures: &mut [ScoreMeasure]) -> Preparation {
    let Some(first) = measures.first_mut() else { return preparation };
    let opening = first.marks.iter().position(|m| m.at.is_zero() && matches!(m.mark, Mark::Pedals(_)));
    match opening.map(|at| first.marks.remove(at).mark) {
        Some(Mark::Pedals(alters)) => Preparation { setting: Some(Setting::Pedals(alters)), ..preparation },
        _ => preparation,
    }
}

/// Splits at inner repeats, checks the limits, and joins the two sheets.
fn finish<'a>(
    mut hands: Hands,
    walks: &Walks<'a>,
    found: Found,
    holds: Vec<Hold>,
    preparation: Preparation,
    remarks: &mut Remarks,
) -> Result<(TwoHands, Vec<MeasureSource<'a>>), String> {
    let whole: Vec<Beats> = hands.right.measures.iter().map(|m| m.frame.length).collect();
    let sources = split::at_repeats(&mut hands.right, &walks.melody, remarks);
    let mut unsaid = Remarks::new("");
    unsaid.silence();
    split::at_repeats(&mut hands.left, &walks.melody, &mut unsaid);
    limits(&hands.right, remarks, walks)?;
    let places = Places::new(&whole, &hands.right);
    let Hands { right, left } = hands;
    let both = right.measures.into_iter().zip(left.measures);
    let mut measures: Vec<ScoreMeasure> = both
        .zip(&places.from)
        .map(|((right, left), (source, _))| ScoreMeasure {
            frame: right.frame,
            right: right.notes,
            left: left.notes,
            heading: None,
            marks: Vec::new(),
            source: Some(*source),
            melody: music::Hand::Right,
        })
        .collect();
    for (i, (marks, heading)) in found.marks.into_iter().zip(found.headings).enumerate() {
        measures[places.first(i)].heading = heading;
        for mark in marks {
            let (measure, at) = places.of(i, mark.at);
            measures[measure].marks.push(PlacedMark { at, ..mark });
        }
    }
    whose_melody(&mut measures);
    let holds = holds.into_iter().map(|h| {
        let (measure, at) = places.of(h.measure, h.at);
        Hold { measure, at, ..h }
    });
    let holds = holds.collect();
    let preparation = with_pedals(preparation, &mut measures);
    let tempo = right.tempo.unwrap_or_else(|| assumed(&measures, walks, remarks));
    Ok((TwoHands { score: Score { words: right.words, tempo, preparation, measures }, tempo: right.tempo, holds }, sources))
}

/// Under a heading that says so the left hand has the melody, up to the next heading.
fn whose_melody(measures: &mut [ScoreMeasure]) {
    let mut melody = Hand::Right;
    for measure in measures {
        if let Some(heading) = &measure.heading {
            let left = heading.to_lowercase().contains(MELODY_IN_THE_LEFT_HAND);
            melody = if left { Hand::Left } else { Hand::Right };
        }
        measure.melody = melody;
    }
}

/// Beats a minute, in thousandths, where the source says nothing.
const ASSUMED: i64 = 90_000;

fn assumed(measures: &[ScoreMeasure], walks: &Walks, remarks: &mut Remarks) -> Tempo {
    if let Some(first) = walks.melody.first() {
        remarks.note(first.source.measure, "no tempo at the start, taken as 90 beats a minute", "give a metronome mark");
    }
    let beat = measures.first().map_or(Beats::QUARTER, |m| m.frame.meter.beat());
    let quarters = || Tempo::new(Beats::QUARTER, ASSUMED).expect("90 quarters a minute are in range");
    Tempo::new(beat, ASSUMED).unwrap_or_else(quarters)
}

fn limits(sheet: &LeadSheet, remarks: &mut Remarks, walks: &Walks) -> Result<(), String> {
    if sheet.measures.len() > MOST_MEASURES {
        return Err(format!("repeats inside measures make more than {MOST_MEASURES} measures, the most that is read"));
    }
    let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
    let order = order::playing_order(&frames);
    if let Some(first) = walks.melody.first().filter(|_| order.cut) {
        let message = format!("with all repeats more than {} measures are played; what lies beyond is cut off", order::LONGEST);
        remarks.warn(first.source.measure, message, "");
    }
    if is_playable(sheet, &order.measures) { Ok(()) } else { Err(format!("the piece lasts longer than {} quarter notes", time::LONGEST)) }
}

/// All repeats played, the tune must stay within the longest time that can be held.
fn is_playable(sheet: &LeadSheet, order: &[usize]) -> bool {
    let mut left = Beats::QUARTER * time::LONGEST;
    order.iter().all(|i| {
        left -= sheet.measures[*i].frame.length;
        left > Beats::ZERO
    })
}

/// Where the measures of the source went when some were split.
struct Places {
    /// For each measure of the score: the measure of the source, and how far into it it begins.
    from: Vec<(usize, Beats)>,
}

impl Places {
    fn new(whole: &[Beats], sheet: &LeadSheet) -> Places {
        let (mut source, mut reached) = (0, Beats::ZERO);
        let from = sheet.measures.iter().map(|m| {
            let here = (source, reached);
            reached += m.frame.length;
            if whole.get(source).is_none_or(|w| reached >= *w) {
                (source, reached) = (source + 1, Beats::ZERO);
            }
            here
        });
        Places { from: from.collect() }
    }

    fn first(&self, source: usize) -> usize {
        self.from.partition_point(|f| f.0 < source).min(self.from.len().saturating_sub(1))
    }

    /// The measure of the score, and the place in it.
    fn of(&self, source: usize, at: Beats) -> (usize, Beats) {
        let after = self.from.partition_point(|f| *f <= (source, at));
        let index = after.saturating_sub(1);
        (index, at - self.from.get(index).map_or(Beats::ZERO, |f| f.1))
    }
}
