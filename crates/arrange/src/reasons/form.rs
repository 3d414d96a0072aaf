//! What the place in the tune asks for: beginnings, ends, what comes back, where the tune is fullest.

use super::{About, Clause, Told, named};
use crate::apart::Heard;
use crate::figures::spaced;
use crate::hand_time::Pluck;
use crate::principles::chordal;

impl Told<'_> {
    pub(super) fn form(&self, slot: usize) -> Vec<Clause> {
        [
            self.last(slot),
            self.closes(slot),
            self.section(slot),
            self.returns(slot),
            self.phrase(slot),
            self.fullest(slot),
            self.peak(slot),
            self.chords(slot),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    fn root_below(&self, slot: usize) -> bool {
        let root = self.slot(slot).chord.as_ref().map(|c| c.root.pitch_class());
        self.low(slot).map(|p| p.pitch_class()) == root
    }

    fn last(&self, slot: usize) -> Option<Clause> {
        let plucks = self.plucks(slot);
        let low = named(self.low(slot)?);
        let how = match plucks {
            [one] if one.rolled => format!("rolled from {low} up and left to ring"),
            [_] => format!("once, on {low}, and left to ring"),
            _ if rises(plucks) => format!("spread upwards from {low}"),
            _ => format!("on {low}"),
        };
        self.slot(slot).duty.last.then(|| Clause::new(About::Last, 100, format!("the last chord, {how}")))
    }

    fn closes(&self, slot: usize) -> Option<Clause> {
        let (duty, plucks) = (&self.slot(slot).duty, chordal(self.slot(slot), self.plucks(slot)));
        if !duty.arrival || duty.last {
            return None;
        }
        let end = if self.root_below(slot) { "the phrase closes" } else { "the phrase ends open" };
        let how = match plucks {
            [one] if one.pitches.len() == 1 && self.plucks(slot).len() > 1 => "one bass note".into(),
            [one] if one.pitches.len() == 1 => "one bass note, and breath".into(),
            [one] if one.rolled => "one rolled chord".into(),
            [_] => "one chord".into(),
            [first, second] if first.pitches.len() == 1 && second.pitches.len() > 1 => "bass, then the chord".into(),
            [first, second] if first.pitches.len() > 1 && second.pitches.len() == 1 => {
                format!("the chord, then {} alone", named(second.pitches[0]))
            }
            [first, second] if first.pitches.len() > 1 && second.pitches.len() > 1 => "two chords".into(),
            _ if rises(plucks) => format!("a broken chord rises from {}", named(self.low(slot)?)),
            some if some.iter().all(|p| p.pitches.len() == 1) => "a broken chord".into(),
            _ => format!("{} plucks on one chord", number(plucks.len())),
        };
        Some(Clause::new(About::Closes, 84, format!("{end}: {how}")))
    }

    fn section(&self, slot: usize) -> Option<Clause> {
        let low = named(self.low(slot)?);
        let root = if self.root_below(slot) { format!(": the root, {low}, in the bass") } else { String::new() };
        let what = if slot == 0 || (0..slot).all(|s| self.plucks(s).is_empty()) { "the tune begins" } else { "a section begins" };
        self.slot(slot).duty.section_first.then(|| Clause::new(About::Section, 82, format!("{what}{root}")))
    }

    fn peak(&self, slot: usize) -> Option<Clause> {
        let rolled = self.slot(slot).duty.peak && self.plucks(slot).first().is_some_and(|p| p.rolled);
        rolled.then(|| Clause::new(About::Peak, 85, "the melody is at its top: the chord is rolled"))
    }

    /// The same melody and chords were there before.
    fn returns(&self, slot: usize) -> Option<Clause> {
        let before = slot.checked_sub(1).filter(|b| {
            !self.changes(slot) && Heard::of(self.plucks(*b)) == Heard::of(self.plucks(slot)) && self.number(*b) != self.number(slot)
        });
        if let Some(before) = before {
            return Some(Clause::new(About::Return, 86, format!("the same again as in {}", self.number(before).in_words())));
        }
        let class = self.slot(slot).class?;
        let earlier: Vec<usize> = (0..slot).filter(|s| self.slot(*s).class == Some(class) && !self.plucks(*s).is_empty()).collect();
        let (first, last) = (*earlier.first()?, *earlier.last()?);
        if self.slot(slot).duty.last {
            return None;
        }
        let time = match earlier.len() + 1 {
            2 => "second",
            3 => "third",
            4 => "fourth",
            _ => return None,
        };
        let lead = format!("{time} time ({} in {})", if earlier.len() == 1 { "first" } else { "last" }, self.number(last).in_words());
        let (here, there) = (self.plucks(slot), self.plucks(last));
        let (low, was) = (self.low(slot)?, self.low(last)?);
        let line = |s: usize| self.low(s).zip(self.next(s).and_then(|n| self.low(n))).map(|(a, b)| (b.position() - a.position()).signum());
        let goes = line(slot).zip(line(last));
        let said = if here == there {
            return Some(Clause::new(About::Return, 50, format!("as in {}", self.number(first).in_words())));
        } else if low != was && goes.is_some_and(|(now, then)| now != then && now != 0) {
            let way = if goes.map(|g| g.0) == Some(-1) { "down" } else { "up" };
            format!("the bass goes {way} instead, from {}", named(low))
        } else if low.pitch_class() != was.pitch_class() {
            format!("{} in the bass instead of {}", named(low), named(was))
        } else if here.len() > there.len() {
            format!("{} plucks instead of {}", number(here.len()), number(there.len()))
        } else if here.len() < there.len() {
            format!("only {} instead of {}", number(here.len()), number(there.len()))
        } else if low != was {
            format!("the bass an octave {}", if low.position() < was.position() { "lower" } else { "higher" })
        } else {
            "other strings above the same bass".into()
        };
        Some(Clause::new(About::Return, 83, format!("{lead}: {said}")))
    }

    /// A phrase that begins with another figure than the one before had.
    fn phrase(&self, slot: usize) -> Option<Clause> {
        let before = self.before(slot).filter(|_| self.slot(slot).opens_phrase)?;
        let name = |s: usize| &self.task.figures.all[self.chosen(s).figure].name;
        (name(before) != name(slot))
            .then(|| Clause::new(About::Phrase, 66, format!("a new phrase, another figure: {}", spaced(name(slot)))))
    }

    /// Where the phrase begins that has most to do.
    fn fullest(&self, slot: usize) -> Option<Clause> {
        if !self.slot(slot).opens_phrase {
            return None;
        }
        let phrase = |s: usize| (self.slot(s).part, self.slot(s).phrase);
        let amount = |p: (usize, usize)| {
            let mine: Vec<usize> = (0..self.plan.slots.len()).filter(|s| phrase(*s) == p).collect();
            let plucks: usize = mine.iter().map(|s| self.plucks(*s).len()).sum();
            let measures = mine.iter().filter(|s| self.slot(**s).opens_measure).count().max(1);
            plucks * 100 / measures
        };
        let mut phrases: Vec<(usize, usize)> = (0..self.plan.slots.len()).map(phrase).filter(|p| p.0 == self.slot(slot).part).collect();
        phrases.dedup();
        let here = amount(phrase(slot));
        let most = phrases.len() > 2 && phrases.iter().filter(|p| **p != phrase(slot)).all(|p| amount(*p) < here);
        most.then(|| Clause::new(About::Fullest, 68, "the fullest phrase begins"))
    }

    /// Quick chords, one pluck each: said at the first of them.
    fn chords(&self, slot: usize) -> Option<Clause> {
        let here = self.slot(slot);
        let mine: Vec<usize> =
            (0..self.plan.slots.len()).filter(|s| self.slot(*s).measure == here.measure && self.slot(*s).chord.is_some()).collect();
        let each = mine.len() > 1 && mine.first() == Some(&slot) && mine.iter().all(|s| self.plucks(*s).len() == 1);
        each.then(|| Clause::new(About::Chords, 40, format!("{} chords in the measure: one pluck each", number(mine.len()))))
    }
}

/// Each pluck lies higher than the one before.
fn rises(plucks: &[Pluck]) -> bool {
    plucks.len() > 2 && plucks.windows(2).all(|p| p[1].low() > p[0].low())
}

fn number(count: usize) -> String {
    let words = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    words.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}
