//! Which inversions are worth a word to a harpist: the bass of the singers is not her left hand.

use music::{Chord, ChordOrigin, Harmony, LeadSheet, PlacedChord};

/// Of the program's own chords, leaves a bass apart from the root only where it makes a line: it stays, or goes by step, to or from the bass beside it. Under a
/// dominant a six-four keeps its bass by that rule. The others become plain chords.
pub fn basses_that_matter(sheet: &mut LeadSheet) {
    let all: Vec<PlacedChord> = sheet.measures.iter().flat_map(|m| m.frame.chords.iter().cloned()).collect();
    let chords: Vec<Option<&Chord>> = all.iter().map(|c| c.symbol.chord()).collect();
    let near = |a: Option<&Chord>, b: &Chord| {
        let apart = |a: &Chord| (a.bass_name().pitch_class() - b.bass_name().pitch_class()).rem_euclid(12);
        a.is_some_and(|a| matches!(apart(a), 0 | 1 | 2 | 10 | 11) && a.root != b.root)
    };
    let matters = |i: usize, chord: &Chord| {
        near(i.checked_sub(1).and_then(|j| chords[j]), chord) || near(chords.get(i + 1).copied().flatten(), chord)
    };
    let plain: Vec<bool> = (0..all.len()).map(|i| chords[i].is_some_and(|c| c.bass.is_some() && !matters(i, c))).collect();
    for (placed, plain) in sheet.measures.iter_mut().flat_map(|m| &mut m.frame.chords).zip(plain) {
        if let Harmony::Chord(chord) = &mut placed.symbol.harmony
            && plain
            && placed.origin == ChordOrigin::Ours
        {
            chord.bass = None;
            placed.symbol.source = chord.to_string();
        }
    }
}
