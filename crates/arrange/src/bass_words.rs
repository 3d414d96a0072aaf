//! What the bass of a slot does, in a musician's words: which tone of the chord it is where it is not the root, and where it comes from or goes to.

use crate::plan::Plan;
use music::{Chord, Pitch};

/// A clause about the bass, where it is not simply the root of the chord or the bass that is written.
pub fn bass(plan: &Plan, slot: usize) -> Option<String> {
    let chord = plan.slots[slot].chord.as_ref()?;
    let here = lowest(plan, slot)?;
    let written = chord.bass_name();
    if here.pitch_class() == written.pitch_class() {
        return None;
    }
    let tone = tone(chord, here);
    let instead = if chord.bass.is_some() { format!(" instead of the written {written:#}") } else { String::new() };
    let way = next(plan, slot).and_then(|to| falls(chord, here, to)).or_else(|| before(plan, slot).and_then(|from| comes(from, here)));
    Some(format!("{:#} in the bass{instead}, {tone}{}", here.name(), way.unwrap_or_default()))
}

fn lowest(plan: &Plan, slot: usize) -> Option<Pitch> {
    let chosen = &plan.choices[slot].candidates[plan.found.chosen[slot]];
    chosen.plucks.first().map(|p| p.pitches[0])
}

fn before(plan: &Plan, slot: usize) -> Option<Pitch> {
    (0..slot).rev().find_map(|s| lowest(plan, s))
}

fn next(plan: &Plan, slot: usize) -> Option<Pitch> {
    (slot + 1..plan.slots.len()).find_map(|s| lowest(plan, s))
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

/// A seventh that falls by step.
fn falls(chord: &Chord, here: Pitch, to: Pitch) -> Option<String> {
    let seventh = tone(chord, here) == "the seventh" && to.position() == here.position() - 1;
    seventh.then(|| format!(": it falls to {:#}", to.name()))
}

fn comes(from: Pitch, here: Pitch) -> Option<String> {
    match here.position() - from.position() {
        0 => Some(": the string stays".into()),
        1 => Some(format!(": a step up from {:#}", from.name())),
        -1 => Some(format!(": a step down from {:#}", from.name())),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use crate::{Figures, Wishes, arrange};
    use harp::{Instrument, Player};
    use music::text::sheet;

    /// Whatever the bass is said to be is what is plucked: its name stands in the notes, and the root is not spoken of.
    #[test]
    fn what_is_said_of_the_bass_is_plucked() {
        let tune = sheet(
            r#"3/4 G | "G" B4:2 D5:1 | "D7" A4:2 C5:1 | "G" B4:1 D5:1 G5:1 | "C" E5:3 | "Am" C5:2 E5:1 | "D7" D5:1 C5:1 A4:1 | "G" B4:1 A4:1 G4:1 | "G" G4:3 |"#,
        );
        let (figures, harp, player, wishes) = (Figures::own(), Instrument::lever_34(), Player::default(), Wishes::default());
        let made = arrange(&tune, &figures, &harp, &player, &wishes).expect("a short tune is arranged");
        let mut told = 0;
        for decision in made.decisions(&figures, &harp, &player, &wishes) {
            if let Some((lead, _)) = decision.why.split_once(" in the bass") {
                let name = lead.rsplit(' ').next().expect("a name").replace('♯', "#").replace('♭', "b");
                assert!(decision.notes.starts_with(&name), "{}: {}", decision.why, decision.notes);
                assert!(!decision.why.contains(", the root"), "{}", decision.why);
                told += 1;
            }
        }
        assert!(told > 0, "a line of eight measures has an inversion");
    }
}
