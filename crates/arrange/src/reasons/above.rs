//! The strings above the bass: what stays, what falls, where the third lies.

use super::{About, Clause, Told, listed, named};
use music::Pitch;

impl Told<'_> {
    pub(super) fn above(&self, slot: usize) -> Vec<Clause> {
        [self.resolves(slot), self.common(slot), self.tenth(slot)].into_iter().flatten().collect()
    }

    /// Everything a slot plucks but its bass string, lowest first.
    fn upper(&self, slot: usize) -> Vec<Pitch> {
        let low = self.low(slot);
        let mut all: Vec<Pitch> = self.plucks(slot).iter().flat_map(|p| p.pitches.clone()).filter(|p| Some(*p) != low).collect();
        all.sort_by_key(|p| (p.position(), p.alter));
        all.dedup();
        all
    }

    /// A seventh above the bass that falls into the next chord.
    pub(super) fn resolves(&self, slot: usize) -> Option<Clause> {
        let chord = self.slot(slot).chord.as_ref()?;
        let seventh = chord.name_of(chord.seventh()?).pitch_class();
        let next = self.next(slot).filter(|n| self.changes(*n))?;
        let here = self.upper(slot).into_iter().find(|p| p.pitch_class() == seventh)?;
        let to = self.upper(next).into_iter().find(|p| p.position() == here.position() - 1)?;
        Some(Clause::new(About::Resolves, 70, format!("the seventh, {}, falls to {}", named(here), named(to))))
    }

    /// Strings that the chord before had as well.
    fn common(&self, slot: usize) -> Option<Clause> {
        let before = self.before(slot).filter(|_| self.changes(slot))?;
        let had = self.upper(before);
        let kept: Vec<String> = self.upper(slot).into_iter().filter(|p| had.contains(p)).map(named).collect();
        let verb = if kept.len() == 1 { "stays" } else { "stay" };
        (!kept.is_empty()).then(|| Clause::new(About::Common, 42, format!("{} {verb} from the chord before", listed(&kept))))
    }

    fn tenth(&self, slot: usize) -> Option<Clause> {
        let chord = self.slot(slot).chord.as_ref()?;
        let third = chord.name_of(chord.third()?).pitch_class();
        let low = self.low(slot).filter(|p| p.pitch_class() == chord.root.pitch_class())?;
        let found = self.upper(slot).into_iter().find(|p| p.pitch_class() == third && p.position() == low.position() + 9)?;
        Some(Clause::new(About::Tenth, 26, format!("the third, {}, lies a tenth above the bass", named(found))))
    }
}
