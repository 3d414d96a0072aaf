//! The right hand's chords over a melody in the left: what the place asks for, how they answer the melody, which tones they bring and where they come from.

use super::{About, Clause, Told, listed, named};
use crate::hand_time::Pluck;
use crate::task;
use crate::view::View;
use music::{Beats, Pitch};

impl Told<'_> {
    /// In the order in which they are said.
    pub(super) fn over(&self, slot: usize) -> Vec<Clause> {
        let view = task::view(self.task, self.slot(slot));
        let own = [
            self.opens(slot),
            self.place_above(slot),
            self.again(slot),
            answers(&view, self.plucks(slot)),
            lightly(&view, self.plucks(slot)),
        ];
        let tones = [self.brings(slot, &view), self.resolves(slot), self.goes_on(slot)];
        own.into_iter().chain(tones).flatten().collect()
    }

    /// What is told once, where the melody comes into the left hand.
    fn opens(&self, slot: usize) -> Option<Clause> {
        let part = self.slot(slot).part;
        let before = |s: &usize| self.slot(*s).part == part && !self.plucks(*s).is_empty();
        let first = !(0..slot).any(|s| before(&s));
        first.then(|| Clause::new(About::Section, 96, "the left hand has the melody, the right hand its chords above it"))
    }

    fn place_above(&self, slot: usize) -> Option<Clause> {
        let (duty, plucks) = (&self.slot(slot).duty, self.plucks(slot));
        let strings = plucks.iter().map(|p| p.pitches.len()).max()?;
        let how = |p: &Pluck| if p.rolled { "rolled" } else { "together" };
        let full = plucks.iter().find(|p| p.pitches.len() == strings)?;
        if duty.last {
            return Some(Clause::new(
                About::Last,
                100,
                format!("the last chord is the fullest: {} strings, {}", words(strings), how(full)),
            ));
        }
        if duty.arrival {
            let said = match plucks {
                [_] => ": one chord, and breath",
                [first, rest @ ..] if rest.iter().all(|p| p.pitches.len() < first.pitches.len()) => ": the chord, then more lightly",
                some if some.iter().all(|p| p.pitches.len() == 1) => ": a broken chord",
                _ => "",
            };
            return Some(Clause::new(About::Closes, 84, format!("the phrase closes{said}")));
        }
        None
    }

    fn again(&self, slot: usize) -> Option<Clause> {
        let same = |b: &usize| {
            !self.plucks(*b).is_empty() && self.plucks(*b) == self.plucks(slot) && self.slot(*b).measure != self.slot(slot).measure
        };
        let before = slot.checked_sub(1).filter(same)?;
        Some(Clause::new(About::Return, 60, format!("the same chord again as in {}", self.number(before).in_words())))
    }

    /// Tones that the melody lacks.
    fn brings(&self, slot: usize, view: &View) -> Option<Clause> {
        let chord = self.slot(slot).chord.as_ref()?;
        let telling = [(chord.third(), "the third"), (chord.seventh(), "the seventh")];
        let plucked = self.strings(slot);
        let lacks = |(tone, what): (Option<music::ChordTone>, &str)| {
            let class = chord.name_of(tone?).pitch_class();
            let here = plucked.iter().find(|p| p.pitch_class() == class)?;
            (view.classes & (1 << class) == 0).then(|| format!("{what}, {},", named(*here)))
        };
        let brought: Vec<String> = telling.into_iter().filter_map(lacks).collect();
        let is = if brought.len() == 1 { "is" } else { "are" };
        (!brought.is_empty()).then(|| Clause::new(About::Tenth, 44, format!("{} {is} not in the melody", listed(&brought))))
    }

    /// Strings that stay, or how far the hand goes.
    fn goes_on(&self, slot: usize) -> Option<Clause> {
        let before = self.before(slot).filter(|b| self.slot(*b).hand == self.slot(slot).hand && self.changes(slot))?;
        let (had, has) = (self.strings(before), self.strings(slot));
        let stay: Vec<String> = has.iter().filter(|p| had.contains(p)).map(|p| named(*p)).collect();
        if !stay.is_empty() {
            let verb = if stay.len() == 1 { "stays" } else { "stay" };
            return Some(Clause::new(About::Common, 46, format!("{} {verb} from the chord before", listed(&stay))));
        }
        let near = |p: &Pitch| had.iter().map(|b| (b.position() - p.position()).abs()).min().unwrap_or(9);
        let close = has.iter().all(|p| near(p) <= 1);
        close.then(|| Clause::new(About::Motion, 40, "every string moves by a step from the chord before"))
    }

    fn strings(&self, slot: usize) -> Vec<Pitch> {
        let mut all: Vec<Pitch> = self.plucks(slot).iter().flat_map(|p| p.pitches.clone()).collect();
        all.sort_by_key(|p| (p.position(), p.alter));
        all.dedup();
        all
    }
}

/// The chord comes while the melody holds, or after the melody's beat.
fn answers(view: &View, plucks: &[Pluck]) -> Option<Clause> {
    let held = view.holds.iter().find(|(on, off)| plucks.iter().any(|p| p.at > *on && p.at < *off));
    if let Some((on, _)) = held {
        let sounds = view.melody.iter().any(|n| n.on <= *on && n.off > *on);
        let melody = if sounds { "the melody holds" } else { "the melody rests" };
        return Some(Clause::new(About::Holds, 78, format!("{melody}, and the chord answers")));
    }
    let first = plucks.first().filter(|p| p.at > Beats::ZERO && view.melody_plucks_at(Beats::ZERO))?;
    let strong = view.slot.strong_beats.contains(&first.at);
    let said = if strong {
        "the melody has the first beat, the chord the next strong one"
    } else {
        "the melody has the beat, the chord comes after it"
    };
    Some(Clause::new(About::Holds, 70, said))
}

/// The melody is busy and the chords are not.
fn lightly(view: &View, plucks: &[Pluck]) -> Option<Clause> {
    let notes: usize = view.beats.iter().map(|b| b.plucks).sum();
    let busy = notes >= view.beats.len() * 2 && notes > 2;
    (busy && plucks.len() == 1).then(|| Clause::new(About::Runs, 72, "the melody moves: one chord above it is enough"))
}

fn words(count: usize) -> &'static str {
    ["no", "one", "two", "three", "four"].get(count).copied().unwrap_or("many")
}
