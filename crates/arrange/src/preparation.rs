//! The lines at the top left of the page: which strings are needed, how they are tuned, what is set before the first note.
//!
//! Only the key's own letters are set here; moves in the course of the piece are another matter.

use harp::{Instrument, Mechanism, Tuning};
use music::{Key, Pitch, PitchName, Step};

/// The lines for a harp and the key the piece begins in.
pub fn preparation(harp: &Instrument, key: &Key) -> Vec<String> {
    let mut lines = vec![strings(harp)];
    lines.extend(match &harp.mechanism {
        Mechanism::Levers(letters) => levers(harp.tuning, letters, key),
        Mechanism::Pedals { .. } => pedals(key),
    });
    lines
}

/// "34 strings, C2 to A6, tuned in E♭".
fn strings(harp: &Instrument) -> String {
    let name = |position: i32| {
        let pitch = Pitch::at_position(position, 0);
        format!("{}{}", pitch.step.letter(), pitch.octave)
    };
    let range = format!("{} strings, {} to {}", harp.strings(), name(harp.lowest()), name(harp.highest()));
    let tonic = (-7..=7).map(PitchName::from_fifths).find(|tonic| Tuning::of_major(*tonic) == harp.tuning);
    match (tonic, &harp.mechanism) {
        (Some(tonic), Mechanism::Levers(_)) => format!("{range}, tuned in {}", sign(tonic.step, tonic.alter, "")),
        _ => range,
    }
}

/// "For the key, levers up: F♯ C♯"; nothing where the harp cannot be set to the key.
fn levers(tuning: Tuning, letters: &[Step], key: &Key) -> Option<String> {
    let can = |step: &Step| {
        let raised = key.alter(*step) - tuning.alter(*step);
        raised == 0 || raised == 1 && letters.contains(step)
    };
    if !Step::ALL.iter().all(can) {
        return None;
    }
    let raised: Vec<String> =
        Step::SHARPS.iter().filter(|s| key.alter(**s) != tuning.alter(**s)).map(|s| sign(*s, key.alter(*s), "♮")).collect();
    Some(if raised.is_empty() { "For the key: all levers down".into() } else { format!("For the key, levers up: {}", raised.join(" ")) })
}

/// "Pedals: D C B♭ | E♭ F G A", left foot and right foot.
fn pedals(key: &Key) -> Option<String> {
    const LEFT: [Step; 3] = [Step::D, Step::C, Step::B];
    const RIGHT: [Step; 4] = [Step::E, Step::F, Step::G, Step::A];
    let names = |steps: &[Step]| steps.iter().map(|s| sign(*s, key.alter(*s), "")).collect::<Vec<_>>().join(" ");
    let can = Step::ALL.iter().all(|s| key.alter(*s).abs() <= 1);
    can.then(|| format!("Pedals: {} | {}", names(&LEFT), names(&RIGHT)))
}

fn sign(step: Step, alter: i32, natural: &str) -> String {
    let accidental = match alter {
        -1 => "♭",
        1 => "♯",
        _ => natural,
    };
    format!("{}{accidental}", step.letter())
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::Mode;

    fn major(step: Step, alter: i32) -> Key {
        Key::of(PitchName::new(step, alter), Mode::Major)
    }

    /// Harp facts 2.3 (levers raised from E-flat tuning) and 9, example 32 (A-flat major cannot be set).
    #[test]
    fn levers_for_the_key() {
        let lines = |key: Key| preparation(&Instrument::lever_34(), &key).join("; ");
        assert_eq!(lines(major(Step::C, 0)), "34 strings, C2 to A6, tuned in E♭; For the key, levers up: A♮ E♮ B♮");
        assert_eq!(lines(major(Step::D, 0)), "34 strings, C2 to A6, tuned in E♭; For the key, levers up: F♯ C♯ A♮ E♮ B♮");
        assert_eq!(lines(major(Step::E, -1)), "34 strings, C2 to A6, tuned in E♭; For the key: all levers down");
        assert_eq!(lines(major(Step::A, -1)), "34 strings, C2 to A6, tuned in E♭");
    }

    /// Harp facts 9, examples 4 and 5: C natural minor and A major on pedals.
    #[test]
    fn pedals_for_the_key() {
        let flat = Tuning::of_major(PitchName::new(Step::C, -1));
        let low = Pitch::new(Step::C, 0, 1);
        let harp = Instrument::new("pedal-47".into(), low, 47, flat, Mechanism::Pedals { fixed: Vec::new() }).expect("a harp");
        let lines = |key: Key| preparation(&harp, &key).join("; ");
        let minor = Key::of(PitchName::new(Step::C, 0), Mode::Minor);
        assert_eq!(lines(minor), "47 strings, C1 to G7; Pedals: D C B♭ | E♭ F G A♭");
        assert_eq!(lines(major(Step::A, 0)), "47 strings, C1 to G7; Pedals: D C♯ B | E F♯ G♯ A");
    }
}
