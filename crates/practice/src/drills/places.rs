//! The dearest changes of chord for her hand: what the fingering of the page asks between the last pluck of one chord and the first of the next.

use super::Stretch;
use crate::lesson::Lesson;
use arrange::slots::Slot;
use harp::page::fingers::fingered;
use music::Hand;
use std::collections::BTreeMap;

/// A change of chord on the page.
#[derive(Clone, Debug)]
pub struct Change<'a> {
    pub from: &'a Slot,
    pub to: &'a Slot,
    /// What it asks of the hand, in points of the fingering.
    pub price: i64,
}

impl Change<'_> {
    pub fn stretch(&self) -> Stretch {
        Stretch { first: self.from.measure.index(), last: self.to.measure.index() }
    }

    /// "G to C".
    pub fn chords(&self) -> String {
        format!("{} to {}", music::as_read(&self.from.text), music::as_read(&self.to.text))
    }
}

/// A fingering's price between groups, its own placing aside: what a change asks beside putting the hand down at all.
pub fn dear_changes<'a>(lesson: &Lesson<'a>) -> Vec<Change<'a>> {
    let hand = fingered(&lesson.made.score, Hand::Left, lesson.player);
    // The price of the group that begins with a note of the page.
    let mut asked: BTreeMap<(usize, usize), i64> = BTreeMap::new();
    for group in &hand.fingering.groups {
        let parts = group.parts;
        asked.insert(hand.places[group.first], parts.total() - parts.placing);
    }
    let slots: Vec<&Slot> =
        lesson.played().filter(|(slot, ..)| slot.chord.is_some() && slot.hand == Hand::Left).map(|(slot, ..)| slot).collect();
    let first_note = |slot: &Slot| {
        let left = &lesson.made.score.measures[slot.measure.index()].left;
        left.iter().position(|n| n.is_plucked() && n.at >= slot.at && n.at < slot.at + slot.length)
    };
    let mut all: Vec<Change> = Vec::new();
    for pair in slots.windows(2) {
        let [from, to] = pair else { continue };
        let apart = from.chord != to.chord && to.measure.index() - from.measure.index() <= 1;
        let (Some(_), Some(note)) = (first_note(from), first_note(to)) else { continue };
        if !apart {
            continue;
        }
        let price = asked.get(&(to.measure.index(), note)).copied().unwrap_or_default();
        all.push(Change { from, to, price });
    }
    // The dearest first; of equals the earlier, and each pair of chords once.
    all.sort_by_key(|c| (-c.price, c.from.start));
    let mut seen: Vec<String> = Vec::new();
    all.retain(|change| {
        let chords = change.chords();
        let new = !seen.contains(&chords);
        if new {
            seen.push(chords);
        }
        new
    });
    all
}
