//! Which accidentals are printed: where a pitch departs from the key signature or from what stands earlier in the measure on its line or space.
//!
//! Common practice: an accidental holds for its octave on its staff until the bar line; a note tied over the bar line needs none and
//! leaves none behind.

use super::line::{Head, Line};
use music::{Key, Pitch};
use std::collections::BTreeMap;

/// Fills in the accidentals of one hand in one measure.
pub fn mark(line: &mut Line, key: &Key) {
    let mut seen: BTreeMap<i32, i32> = BTreeMap::new();
    for piece in &mut line.pieces {
        for head in piece.grace.iter_mut().flat_map(|g| &mut g.heads).chain(&mut piece.heads) {
            mark_head(head, key, &mut seen);
        }
    }
}

/// `seen` is what stands on each line and space of the staff by now.
fn mark_head(head: &mut Head, key: &Key, seen: &mut BTreeMap<i32, i32>) {
    if head.tied_before {
        return;
    }
    let Pitch { step, alter, .. } = head.pitch;
    let now = seen.get(&head.pitch.position()).copied().unwrap_or_else(|| key.alter(step));
    if now != alter {
        head.accidental = Some(alter);
        seen.insert(head.pitch.position(), alter);
    }
}

/// The standard's name of an accidental (MusicXML 4.0, type `accidental-value`); none beyond three sharps or flats.
pub fn name(alter: i32) -> Option<&'static str> {
    const NAMES: [&str; 7] = ["triple-flat", "flat-flat", "flat", "natural", "sharp", "double-sharp", "triple-sharp"];
    usize::try_from(alter + 3).ok().and_then(|i| NAMES.get(i)).copied()
}
