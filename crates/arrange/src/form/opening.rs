//! What comes before a verse: introduction, vamp and interlude.
//!
//! Songs, airs and hymns are introduced by their own last line, as is the custom in church; dances, and tunes whose last line does not lead to the first,
//! by chords that come home, the right hand still until it shows the first note. Common practice.

use super::home::{Home, placed};
use super::played::{Played, Tail};
use super::why::{NotTheEnd, Why};
use super::{Length, Made};
use harmony::kind::KindOfTune;
use music::{Beats, Chord, Frame, MeasureNumber, Note, Part, Pitch, PlacedChord, SheetMeasure};

/// What an opening is made from.
pub struct Opening<'a> {
    pub played: &'a Played,
    pub home: &'a Home,
    pub kind: KindOfTune,
}

/// How far beside the first note the note that leads to it may lie, in strings.
const BESIDE: i32 = 4;

impl Opening<'_> {
    /// States key, pace and first note.
    pub fn introduction(&self, length: Length) -> Made {
        let made = match self.last_line(length) {
            Ok(tail) => self.of_the_tail(tail, Turn::for_a(self.kind), Beats::ZERO, Why::LastMeasures),
            Err(not) => self.of_chords(length, Some(not), Beats::ZERO),
        };
        made.finish(Part::Introduction, "Introduction", self.pickup())
    }

    /// Between two verses: the last line, turned so that the next verse follows.
    pub fn interlude(&self, length: Length) -> Made {
        let gap = self.played.gap;
        let made = match self.last_line(length) {
            Ok(tail) => self.of_the_tail(tail, Turn::Back, gap, Why::BetweenVerses),
            Err(not) => self.of_chords(length, Some(not), gap),
        };
        made.finish(Part::Interlude, "Interlude", self.pickup())
    }

    /// Chords that go round.
    pub fn vamp(&self, length: Length) -> Made {
        let mut raw = self.of_chords(length, None, self.pickup());
        raw.show_nothing();
        raw.why.push(Why::GoesRound);
        let mut made = raw.finish(Part::Vamp, "Vamp: round and round until ready", self.pickup());
        let last = made.measures.len() - 1;
        made.measures[0].frame.repeat_start = true;
        made.measures[last].frame.repeat_end = Some(2);
        made
    }

    fn pickup(&self) -> Beats {
        self.played.pickup
    }

    /// The end of the tune, where it introduces it.
    fn last_line(&self, length: Length) -> Result<Tail, NotTheEnd> {
        let strict = self.kind.is_dance() && !matches!(self.kind, KindOfTune::Waltz | KindOfTune::OldDance);
        if strict && self.home.has_chords {
            return Err(NotTheEnd::Dance);
        }
        let tail = self.played.tail(length.measures()).ok_or(NotTheEnd::Cut)?;
        let frame = &tail.measures[0].frame;
        if (&frame.meter, &frame.key) != (self.played.meter(), self.played.key()) {
            return Err(NotTheEnd::Cut);
        }
        let sings = tail.measures.iter().filter(|m| m.notes.iter().any(|n| !n.is_rest())).count();
        if sings < tail.measures.len() {
            return Err(NotTheEnd::Cut);
        }
        let last = tail.measures.iter().flat_map(|m| &m.frame.chords).next_back().and_then(|c| c.symbol.chord());
        let leads = last.is_none_or(|c| c.root == self.home.tonic.root || c.root == self.home.leading.root);
        if leads { Ok(tail) } else { Err(NotTheEnd::Elsewhere) }
    }

    /// How long the measure before the tune is.
    fn last_length(&self) -> Beats {
        let full = self.played.meter().length();
        let short = full - self.pickup();
        if short > Beats::ZERO { short } else { full }
    }

    fn of_the_tail(&self, tail: Tail, turn: Turn, gap: Beats, why: impl Fn(usize) -> Why) -> Raw {
        let Tail { mut measures, lead } = tail;
        let count = measures.len();
        let mut why = vec![why(count)];
        let last = &mut measures[count - 1];
        fit(last, self.last_length());
        let turned = (turn == Turn::Back && self.home.has_chords).then(|| self.turn(last)).flatten();
        if turned.is_none() && last.frame.chords.last().and_then(|c| c.symbol.chord()).is_some_and(|c| c.root == self.home.leading.root) {
            why.push(Why::Leads(self.home.leading.clone()));
        }
        why.extend(turned.into_iter().flatten());
        let lead = match (lead, gap) {
            (Some(lead), gap) if gap.is_zero() || lead.frame.length == gap => Some(lead),
            (_, gap) if gap.is_zero() => None,
            _ => Some(self.rest(gap)),
        };
        if lead.as_ref().is_some_and(|l| l.notes.iter().any(|n| !n.is_rest())) {
            why.push(Why::WithPickup);
        }
        Raw { lead, measures, least: 0, why }
    }

    /// The end of the last measure turns back to the beginning: the chord that leads, and in the right hand a note beside the first one. `None` where the last
    /// note leaves no room for it.
    fn turn(&self, last: &mut SheetMeasure) -> Option<Vec<Why>> {
        let frame = &mut last.frame;
        let meter = &frame.meter;
        let middle = meter.strong_beats().get(1).copied().unwrap_or(meter.beat());
        let closes_early = last.notes.iter().filter(|n| n.is_plucked()).all(|n| n.at < middle);
        let home = frame.chords.last().and_then(|c| c.symbol.chord()).is_some_and(|c| c.root == self.home.tonic.root);
        if !closes_early || !home || frame.length < middle + meter.beat() || !self.home.begins_at_home() {
            return None;
        }
        frame.chords.retain(|c| c.at < middle);
        frame.chords.push(PlacedChord { at: middle, ..placed(&self.home.leading) });
        let length = frame.length - middle;
        last.notes.retain(|n| n.at < middle);
        for note in last.notes.iter_mut().filter(|n| n.end() > middle) {
            (note.length, note.tie.to_next) = (middle - note.at, false);
        }
        let mut why = vec![Why::Leads(self.home.leading.clone())];
        match self.beside_the_first() {
            Some(note) => {
                last.notes.push(Note::of(middle, length, vec![note]));
                why.extend(self.played.first_note.map(|first| Why::ToTheFirstNote(note, first)));
            }
            None => last.notes.push(Note::rest(middle, length)),
        }
        Some(why)
    }

    fn of_chords(&self, length: Length, not: Option<NotTheEnd>, gap: Beats) -> Raw {
        let chords = self.progression(length);
        let (meter, key) = (self.played.meter(), self.played.key());
        let mut measures: Vec<SheetMeasure> = chords
            .iter()
            .map(|chord| {
                let mut frame = Frame::plain(0, meter.clone(), key.clone());
                frame.chords.push(placed(chord));
                let notes = vec![Note::rest(Beats::ZERO, frame.length)];
                SheetMeasure { frame, notes }
            })
            .collect();
        let mut why = vec![Why::Chords(chords.clone(), key.clone())];
        why.extend(not.map(Why::NotTheEnd));
        let last = measures.last_mut().expect("two measures or four");
        fit(last, self.last_length());
        let ending = &chords[chords.len() - 1];
        if *ending == self.home.leading {
            why.push(Why::Leads(ending.clone()))
        } else {
            why.push(Why::EndsAtHome(ending.clone()))
        }
        if let (Some(note), Some(first)) = (self.beside(ending), self.played.first_note) {
            last.notes = vec![Note::of(Beats::ZERO, last.frame.length, vec![note])];
            why.push(Why::ToTheFirstNote(note, first));
        }
        let lead = (!gap.is_zero()).then(|| self.rest(gap));
        Raw { lead, measures, least: 2, why }
    }

    /// I V7, or I VI IV V7 with those of them that the tune has; where the tune begins on another chord than its tonic, the other way round.
    fn progression(&self, length: Length) -> Vec<Chord> {
        let Home { tonic, leading, before, sixth, .. } = self.home;
        let or_tonic = |chord: &Option<Chord>| chord.clone().unwrap_or_else(|| tonic.clone());
        match (length, self.home.begins_at_home()) {
            (Length::Two, true) => vec![tonic.clone(), leading.clone()],
            (Length::Two, false) => vec![leading.clone(), tonic.clone()],
            (Length::Four, true) => vec![tonic.clone(), or_tonic(sixth), or_tonic(before), leading.clone()],
            (Length::Four, false) => vec![tonic.clone(), or_tonic(before), leading.clone(), tonic.clone()],
        }
    }

    fn beside_the_first(&self) -> Option<Pitch> {
        self.beside(&self.home.leading)
    }

    /// The note of a chord that shows the first note of the tune: the same, else the step below, the step above, or the nearest.
    fn beside(&self, chord: &Chord) -> Option<Pitch> {
        let first = self.played.first_note?;
        let names: Vec<_> = chord.tones().into_iter().map(|t| chord.name_of(t)).collect();
        let at = |steps: i32| {
            let place = Pitch::at_position(first.position() + steps, 0);
            names.iter().find(|n| n.step == place.step).map(|n| Pitch { alter: n.alter, ..place })
        };
        let away = [0, -1, 1, 2, -2, 3, -3, BESIDE, -BESIDE];
        away.into_iter().filter_map(at).find(|p| p.position() != first.position() || *p == first)
    }

    fn rest(&self, length: Beats) -> SheetMeasure {
        let frame = Frame { length, ..Frame::plain(0, self.played.meter().clone(), self.played.key().clone()) };
        SheetMeasure { notes: vec![Note::rest(Beats::ZERO, length)], frame }
    }
}

/// Whether an introduction closes as the tune does, or turns to the chord that leads.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Turn {
    /// A congregation waits for the close.
    AsItIs,
    Back,
}

impl Turn {
    fn for_a(kind: KindOfTune) -> Turn {
        if matches!(kind, KindOfTune::Hymn | KindOfTune::Carol) { Turn::AsItIs } else { Turn::Back }
    }
}

/// A part before it has its numbers.
struct Raw {
    /// A short measure before the first.
    lead: Option<SheetMeasure>,
    measures: Vec<SheetMeasure>,
    least: u8,
    why: Vec<Why>,
}

impl Raw {
    /// The right hand stays still to the end.
    fn show_nothing(&mut self) {
        if let Some(last) = self.measures.last_mut() {
            last.notes = vec![Note::rest(Beats::ZERO, last.frame.length)];
        }
        self.why.retain(|w| !matches!(w, Why::ToTheFirstNote(..)));
    }

    fn finish(self, part: Part, heading: &str, pickup: Beats) -> Made {
        let Raw { lead, mut measures, least, mut why } = self;
        let first = u32::from(lead.is_none());
        measures.splice(0..0, lead);
        for (count, measure) in (first..).zip(&mut measures) {
            measure.frame.number = MeasureNumber { part, count };
        }
        if !pickup.is_zero() && part != Part::Vamp {
            why.push(Why::RoomForThePickup);
        }
        let fuller = vec![if least > 0 { 0 } else { -1 }; measures.len()];
        Made { part, heading: heading.into(), measures, fuller, least, why }
    }
}

/// Makes a measure as long as it should be: what is beyond falls away, what is missing the last note sounds on.
pub(super) fn fit(measure: &mut SheetMeasure, length: Beats) {
    let (notes, frame) = (&mut measure.notes, &mut measure.frame);
    notes.retain(|n| n.at < length);
    frame.chords.retain(|c| c.at < length);
    if let Some(last) = notes.last_mut()
        && last.end() != length
    {
        (last.length, last.tie.to_next) = (length - last.at, false);
        if last.tuplet.is_some() {
            *last = Note::rest(last.at, last.length);
        }
    }
    frame.length = length;
}
