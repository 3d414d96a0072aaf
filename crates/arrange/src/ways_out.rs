//! Ways out: from the end of any measure of the tune, how to close within eight measures.
//!
//! For each measure the cheapest of these, by how many measures are still played and how roughly it cuts in: stop where the tune closes anyway; play on to
//! the next close; go to the ending, or to the tune's last close, from the end of a phrase; go on at the same place of the last line, where the chord is the
//! same; or two chords of one measure each, which end anything.

use crate::form::Added;
use crate::form::home::Home;
use crate::measures::LaidMeasure;
use crate::tune::Tune;
use harmony::cadences::{CadenceKind, cadences};
use harmony::phrases::Phrases;
use harmony::spans::{Spans, spans};
use music::{Chord, LeadSheet, MeasureNumber, Part, SheetMeasure};
use std::fmt;

/// The most measures that a way out takes.
pub const MOST: usize = 8;

/// How to close after a measure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WayOut {
    /// The measure of the page at whose end one leaves.
    pub measure: usize,
    /// It ends a phrase: a good place to leave.
    pub at_a_phrase_end: bool,
    pub way: Way,
    /// How many measures are still played.
    pub measures: usize,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Way {
    /// The tune closes here.
    Stop,
    /// On to the close at the end of this measure.
    PlayOn(MeasureNumber),
    /// To the first of these measures, and stop after the second.
    GoTo(MeasureNumber, MeasureNumber),
    Ending,
    /// A measure of each.
    Chords(Chord, Chord),
}

impl fmt::Display for Way {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Way::Stop => f.write_str("stop"),
            Way::PlayOn(to) => write!(f, "on to the end of {to}"),
            Way::GoTo(from, to) if from == to => write!(f, "go to {from}"),
            Way::GoTo(from, to) => write!(f, "go to {from}-{}", to.count),
            Way::Ending => f.write_str("go to the ending"),
            Way::Chords(leading, close) => write!(f, "{leading:#}, then {close:#}"),
        }
    }
}

/// What a way costs beside the measures that are played: going elsewhere, and leaving the tune for chords.
const ELSEWHERE: usize = 1;
const CHORDS: usize = 3;

/// A way out for every measure of the verses.
pub fn ways_out(tune: &Tune, phrases: &Phrases, added: &Added) -> Vec<WayOut> {
    let own = |m: &LaidMeasure| tune.origin[*m].part() == Part::Tune;
    let measures: Vec<SheetMeasure> = tune.measures().filter(own).map(|m| tune.measure(m).clone()).collect();
    let Some(home) = Home::of(&LeadSheet { measures, ..LeadSheet::default() }) else { return Vec::new() };
    let spans = spans(&tune.sheet, &tune.clock);
    let out = Out { tune, phrases, added, home: &home, closes: closes(tune, phrases, &spans, &home), spans: &spans };
    let all = tune.measures().filter(own);
    all.map(|m| out.of(m)).collect()
}

/// The measures at whose end the tune is at home.
fn closes(tune: &Tune, phrases: &Phrases, spans: &Spans, home: &Home) -> Vec<LaidMeasure> {
    let own = |m: LaidMeasure| tune.origin[m].part() == Part::Tune;
    let at_home = |kind: CadenceKind| matches!(kind, CadenceKind::Authentic | CadenceKind::Plagal | CadenceKind::OnTonic);
    let root = |at: usize| spans.spans[at].chord.as_ref().map(|c| c.root);
    let mut all: Vec<LaidMeasure> = if home.has_chords {
        let cadences = cadences(&tune.sheet, spans, phrases);
        let closing = cadences.iter().filter(|c| root(c.arrival) == Some(home.close.root) && at_home(c.kind));
        closing.map(|c| LaidMeasure::at(c.measure)).collect()
    } else {
        let last = |m: LaidMeasure| tune.measure(m).notes.iter().rev().find_map(|n| n.top());
        let sung = |m: &LaidMeasure| last(*m).is_some_and(|p| p.pitch_class() == home.close.root.pitch_class());
        tune.measures().filter(|m| phrases.measures[m.index()].last_of_phrase).filter(sung).collect()
    };
    all.retain(|m| own(*m));
    all
}

struct Out<'a> {
    tune: &'a Tune,
    phrases: &'a Phrases,
    added: &'a Added,
    home: &'a Home,
    closes: Vec<LaidMeasure>,
    spans: &'a Spans,
}

impl Out<'_> {
    fn of(&self, measure: LaidMeasure) -> WayOut {
        let at_a_phrase_end = self.phrases.measures[measure.index()].last_of_phrase;
        let [on, ending, same, last] = [self.on(measure), self.ending(measure), self.same_place(measure), self.last_close(measure)];
        let found = [on, ending, same, last, Some((CHORDS, self.chords(), 2))].into_iter().flatten();
        let within = found.filter(|(_, _, measures)| *measures <= MOST);
        let best = within.min_by_key(|(beside, _, measures)| beside + measures);
        let (_, way, measures) = best.unwrap_or((CHORDS, self.chords(), 2));
        WayOut { measure: measure.index(), at_a_phrase_end, way, measures }
    }

    fn number(&self, measure: LaidMeasure) -> MeasureNumber {
        self.tune.frame(measure).number
    }

    fn chords(&self) -> Way {
        let fifth = music::Interval::new(4, 7);
        let leading = if self.home.tonic.root == self.home.close.root {
            self.home.leading.clone()
        } else {
            Chord::new(self.home.close.root.up(fifth), music::ChordKind::Dominant)
        };
        Way::Chords(leading, self.home.close.clone())
    }

    /// Straight on, without going back at a repeat sign; pickups and second halves of measures count with their first.
    fn on(&self, measure: LaidMeasure) -> Option<(usize, Way, usize)> {
        let close = *self.closes.iter().find(|c| **c >= measure)?;
        let measures = &self.tune.sheet.measures[measure.index()..=close.index()];
        // Under another ending one does not go on.
        let crosses = measures.iter().skip(1).any(|m| m.frame.ending.as_ref().is_some_and(|e| e.starts && !e.passes.contains(&1)));
        let between = self.tune.measures().filter(|m| *m > measure && *m <= close);
        let counted = between.filter(|m| m.back(1).is_none_or(|before| self.number(*m) != self.number(before))).count();
        let way = if close == measure { Way::Stop } else { Way::PlayOn(self.number(close)) };
        (!crosses).then_some((0, way, counted))
    }

    /// The last close of the verse in which a measure stands: every verse closes alike, and the nearest is quickest found.
    fn last_of_verse(&self, measure: LaidMeasure) -> Option<LaidMeasure> {
        let part = &self.tune.part;
        self.closes.iter().rev().find(|c| part[**c] == part[measure]).copied()
    }

    fn ending(&self, measure: LaidMeasure) -> Option<(usize, Way, usize)> {
        let made = self.added.ending.as_ref()?;
        let measures = made.measures.iter().filter(|m| m.frame.number.count > 0).count();
        self.phrases.measures[measure.index()].last_of_phrase.then_some((ELSEWHERE, Way::Ending, measures))
    }

    /// The last close and the measure before it, from the end of a phrase.
    fn last_close(&self, measure: LaidMeasure) -> Option<(usize, Way, usize)> {
        let last = self.last_of_verse(measure)?;
        let phrase = |m: LaidMeasure| self.phrases.measures[m.index()].phrase;
        let before = last.back(1).filter(|before| phrase(*before) == phrase(last))?;
        let ends = self.phrases.measures[measure.index()].last_of_phrase && measure != last;
        ends.then(|| (ELSEWHERE, Way::GoTo(self.number(before), self.number(last)), 2))
    }

    /// The same place of the last line, where the same chord holds.
    fn same_place(&self, measure: LaidMeasure) -> Option<(usize, Way, usize)> {
        let phrases = self.phrases;
        let last = self.last_of_verse(measure)?;
        let (here, there) = (&phrases.measures[measure.index()], &phrases.measures[last.index()]);
        if here.phrase == there.phrase || here.of != there.of || here.index + 1 >= here.of {
            return None;
        }
        let ending = |m: LaidMeasure| self.tune.frame(m).ending.as_ref().map(|e| &e.passes);
        let of_last = |index: usize| {
            let inside = phrases.phrases[there.phrase].measures.iter().copied().map(LaidMeasure::at);
            inside.rev().find(|m| {
                let place = &phrases.measures[m.index()];
                place.index == index && place.pickup == harmony::Pickup::No && (ending(*m).is_none() || ending(*m) == ending(last))
            })
        };
        let (same, next) = (of_last(here.index)?, of_last(here.index + 1)?);
        let holds = |m: LaidMeasure| {
            self.spans.spans.iter().rfind(|s| LaidMeasure::at(s.measure) == m).and_then(|s| s.chord.as_ref()).map(|c| c.root)
        };
        let fits = holds(measure) == holds(same);
        fits.then(|| (ELSEWHERE, Way::GoTo(self.number(next), self.number(last)), here.of - here.index - 1))
    }
}
