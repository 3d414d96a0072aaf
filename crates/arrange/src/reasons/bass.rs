//! The bass: which tone of the chord it is where it is not the root, where it comes from and goes to.

use super::{About, Clause, Told, named};
use music::{Chord, Pitch};

/// Steps in one direction that are told as a walk.
const WALK: usize = 3;

impl Told<'_> {
    pub(super) fn bass(&self, slot: usize) -> Vec<Clause> {
        let (Some(chord), Some(here)) = (&self.slot(slot).chord, self.low(slot)) else { return Vec::new() };
        let before = self.before(slot).and_then(|s| self.low(s));
        let next = self.next(slot).and_then(|s| self.low(s));
        let mut made = Vec::new();
        made.extend(self.walk(slot));
        made.extend(self.written(slot, chord, here, next));
        if chord.bass.is_none() || here.pitch_class() != chord.bass_name().pitch_class() {
            made.extend(self.tone(slot, chord, here, before, next));
        }
        made.extend(self.lead(slot));
        made.extend(self.motion(slot, here, before));
        made
    }

    /// Where a walk of several steps begins, all of it.
    fn walk(&self, slot: usize) -> Option<Clause> {
        let position = |s: usize| self.low(s).map(|p| p.position());
        let step = |s: usize| Some(position(s)? - position(s.checked_sub(1)?)?);
        let after = Some(slot + 1).filter(|s| *s < self.plan.slots.len());
        let way = after.and_then(step).filter(|w| w.abs() == 1)?;
        if step(slot) == Some(way) {
            return None;
        }
        let end = (slot + 1..self.plan.slots.len()).take_while(|s| step(*s) == Some(way)).last()?;
        if end - slot < WALK {
            return None;
        }
        let names: Vec<String> = (slot..=end).filter_map(|s| self.low(s)).map(named).collect();
        let direction = if way < 0 { "down" } else { "up" };
        Some(Clause::new(About::Walk, 88, format!("from here the bass goes {direction} by step: {}", names.join(" "))))
    }

    /// A bass that is written, kept or left.
    fn written(&self, slot: usize, chord: &Chord, here: Pitch, next: Option<Pitch>) -> Option<Clause> {
        let written = chord.bass?;
        if here.pitch_class() != written.pitch_class() {
            let left = format!("{} in the bass instead of the written {written:#}: {}", named(here), self.left(slot, written));
            return Some(Clause::new(About::WrittenLeft, 95, left));
        }
        Some(match next.map(|n| (n.position() - here.position(), named(n))) {
            Some((-1, to)) if tone(chord, here) == "the seventh" => {
                Clause::new(About::Seventh, 92, format!("the written {written:#} in the bass: the seventh falls to {to}"))
            }
            Some((step @ (1 | -1), to)) => {
                let way = if step < 0 { "down" } else { "up" };
                Clause::new(About::Written, 76, format!("the written {written:#} in the bass leads {way} to {to}"))
            }
            _ => Clause::new(About::Written, 60, format!("the written {written:#} in the bass is kept")),
        })
    }

    /// Why a written bass was left.
    fn left(&self, slot: usize, written: music::PitchName) -> String {
        let has = |c: &usize| {
            let first = self.plan.choices[slot].candidates[*c].plucks.first();
            first.is_some_and(|p| p.pitches[0].pitch_class() == written.pitch_class())
        };
        if self.slot(slot).tune.is_some_and(|midi| midi.rem_euclid(12) == written.pitch_class()) {
            return format!("the melody has the {written:#} itself");
        }
        let all = 0..self.plan.choices[slot].candidates.len();
        match all.filter(has).min_by_key(|c| (self.plan.found.min_marginals[slot][*c], *c)) {
            None => "no string for it can be had here".into(),
            Some(candidate) => format!("with that one {}", (self.written)(slot, candidate)),
        }
    }

    /// The tone that the bass is, where it is not the root.
    fn tone(&self, slot: usize, chord: &Chord, here: Pitch, before: Option<Pitch>, next: Option<Pitch>) -> Option<Clause> {
        let name = named(here);
        let tone = tone(chord, here);
        let steps = |to: Option<Pitch>| to.map(|to| to.position() - here.position());
        if tone == "the seventh" && steps(next) == Some(-1) {
            return Some(Clause::new(About::Seventh, 92, format!("{name} in the bass: the seventh falls to {}", named(next?))));
        }
        if self.changes(slot) && steps(before) == Some(0) && before == Some(here) {
            let is = if tone == "the root" { "now the root".to_owned() } else { format!("now {tone}") };
            return Some(Clause::new(About::Stays, 80, format!("{name} stays in the bass, {is}")));
        }
        if tone == "the root" {
            return None;
        }
        Some(match (steps(before), steps(next)) {
            (Some(1), Some(-1)) => {
                Clause::new(About::Passing, 85, format!("{name} in the bass, on the way down from {} to {}", named(before?), named(next?)))
            }
            (Some(-1), Some(1)) => {
                Clause::new(About::Passing, 85, format!("{name} in the bass, on the way up from {} to {}", named(before?), named(next?)))
            }
            (_, Some(way @ (1 | -1))) => {
                let way = if way < 0 { "down" } else { "up" };
                Clause::new(About::Inversion, 76, format!("{name} in the bass, {tone}: it leads {way} to {}", named(next?)))
            }
            (Some(way @ (1 | -1)), _) => {
                let way = if way < 0 { "up" } else { "down" };
                Clause::new(About::Inversion, 74, format!("{name} in the bass, {tone}: a step {way} from {}", named(before?)))
            }
            _ => Clause::new(About::Inversion, 55, format!("{name} in the bass, {tone}")),
        })
    }

    /// A last tone that leads into the next bass, or two that walk there.
    fn lead(&self, slot: usize) -> Option<Clause> {
        self.chosen(slot).lead?;
        let plucks = self.plucks(slot);
        let last = plucks.last()?.pitches[0];
        let to = self.low(self.next(slot)?)?;
        let by = to.position() - last.position();
        if by.abs() != 1 || plucks.len() < 2 {
            return None;
        }
        let walk = plucks.len().checked_sub(2).filter(|at| *at > 0).map(|at| plucks[at].pitches[0]);
        let said = match walk.filter(|w| plucks[plucks.len() - 2].pitches.len() == 1 && last.position() - w.position() == by) {
            Some(walk) => format!("its last notes, {} and {}, walk to the {} that follows", named(walk), named(last), named(to)),
            None => format!("its last note, {}, leads into the {} that follows", named(last), named(to)),
        };
        Some(Clause::new(About::Lead, 86, said))
    }

    /// Where nothing else is to say of the bass: how far it goes.
    fn motion(&self, slot: usize, here: Pitch, before: Option<Pitch>) -> Option<Clause> {
        let from = before?;
        let steps = here.position() - from.position();
        if steps == 0 {
            return (from == here && !self.changes(slot))
                .then(|| Clause::new(About::Motion, 15, format!("{} again in the bass", named(here))));
        }
        let way = if steps < 0 { "down" } else { "up" };
        let far = match steps.abs() {
            1 => "a step",
            2 => "a third",
            3 => "a fourth",
            4 => "a fifth",
            5 => "a sixth",
            6 => "a seventh",
            7 => "an octave",
            _ => return None,
        };
        Some(Clause::new(About::Motion, 34, format!("the bass goes {way} {far}, {} to {}", named(from), named(here))))
    }
}

fn tone(chord: &Chord, pitch: Pitch) -> &'static str {
    let is = |tone: Option<music::ChordTone>| tone.is_some_and(|t| chord.name_of(t).pitch_class() == pitch.pitch_class());
    match () {
        () if pitch.pitch_class() == chord.root.pitch_class() => "the root",
        () if is(chord.third()) => "the third",
        () if is(chord.fifth()) => "the fifth",
        () if is(chord.seventh()) => "the seventh",
        () => "a tone of the chord",
    }
}
