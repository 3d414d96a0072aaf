//! Small tunes of ours, played by plain tones: the sheet is found, what she says is kept to, and what cannot be said is not.

use music::text::sheet;
use music::{Beats, LeadSheet, Tempo};
use recording::decode::RATE;
use recording::{Anchor, Followed, Sound, Sure, follow, listen};

const BOAT: &str = r#"4/4 G |: "G"G4:1 B4:1 D5:1 B4:1 | "C"C5:1 E5:1 G5:2 | "D"F#5:1 E5:1 D5:1 C5:1 | "G"B4:2 G4:2 :|: "Em"E5:1 G5:1 B5:1 G5:1 | "Am"A5:1 E5:1 C5:2 | "D"D5:1 F#5:1 A5:1 C5:1 | "G"B4:1 A4:1 G4:2 :|"#;
const OTHER: &str = r#"3/4 C | "Dm"F4:1 A4:1 F4:1 | "Bb"D4:1 Bb4:2 | "Eb"Eb4:1 G4:1 Bb4:1 | "Ab"C5:3 | "F"A4:1 C5:1 A4:1 | "Gm"Bb4:2 G4:1 | "Cm"Eb4:1 C4:1 Eb4:1 | "Bb"D4:3 |"#;

fn tempo() -> Tempo {
    Tempo::of(Beats::QUARTER, 100).expect("in range")
}

/// A tone with four partials that dies away.
fn tone(samples: &mut Vec<f32>, from: f64, seconds: f64, midi: f64) {
    let begin = (from * f64::from(RATE)) as usize;
    let length = (seconds * f64::from(RATE)) as usize;
    samples.resize(samples.len().max(begin + length), 0.0);
    let hertz = 440.0 * 2.0_f64.powf((midi - 69.0) / 12.0);
    for i in 0..length {
        let t = i as f64 / f64::from(RATE);
        let fade = (t * 100.0).min(1.0) * (-2.0 * t).exp() * ((seconds - t) * 50.0).min(1.0);
        let wave: f64 = (1..=4).map(|n| (t * hertz * f64::from(n) * std::f64::consts::TAU).sin() / f64::from(n * n)).sum();
        samples[begin + i] += (0.2 * fade * wave) as f32;
    }
}

/// Measures in an order, at so many seconds a quarter note, after a silence; says when each measure begins.
fn played(tune: &LeadSheet, order: &[usize], quarter: f64, lead: f64, up: f64) -> (Sound, Vec<f64>) {
    let (mut samples, mut begins, mut at) = (Vec::new(), Vec::new(), lead);
    for measure in order {
        begins.push(at);
        let measure = &tune.measures[*measure];
        for note in &measure.notes {
            let (from, long) = (at + note.at.as_f64() * quarter, note.length.as_f64() * quarter);
            note.pitches.iter().for_each(|p| tone(&mut samples, from, long, f64::from(p.midi()) + up));
        }
        at += measure.frame.length.as_f64() * quarter;
    }
    samples.resize(samples.len() + 2 * RATE as usize, 0.0);
    (Sound { samples, name: "boat.wav".into() }, begins)
}

fn found(tune: &str, sound: &Sound, anchors: &[Anchor]) -> Followed {
    follow(&sheet(tune), tempo(), &listen(sound), anchors).unwrap_or_else(|e| panic!("{e}"))
}

fn order(found: &Followed) -> Vec<usize> {
    found.passes.iter().map(|p| p.measure).collect()
}

const FIRST_ONCE: [usize; 12] = [0, 1, 2, 3, 4, 5, 6, 7, 4, 5, 6, 7];

/// Arithmetic: played at 0.66 s a quarter where the sheet says 0.6, two half steps and a quarter of one up, after 4.3 s, the first part once and the second twice.
#[test]
fn every_measure_is_found_in_another_key_tuning_and_tempo() {
    let (sound, begins) = played(&sheet(BOAT), &FIRST_ONCE, 0.66, 4.3, 2.25);
    let found = found(BOAT, &sound, &[]);
    assert_eq!(order(&found), FIRST_ONCE);
    assert_eq!((found.shift, (found.cents - 25).abs() <= 5), (2, true), "{} cents", found.cents);
    for (pass, begins) in found.passes.iter().zip(&begins) {
        assert_eq!(pass.beats.len(), 4);
        for (i, (_, time)) in pass.beats.iter().enumerate() {
            let off = time.as_f64() - begins - 0.66 * i as f64;
            assert!(off.abs() < 0.06, "measure {} beat {}: {off}", pass.measure + 1, i + 1);
        }
    }
    assert!(found.passes.iter().filter(|p| p.sure == Sure::Not).count() <= 1 && !found.is_doubted() && !found.key_is_doubted());
    let said = found.sentences(&sheet(BOAT), found.shift);
    assert!(said.iter().any(|s| s.ends_with("The measures played: 1 to 8, then 5 to 8.")), "{said:?}");
    assert!(said.contains(&"It sounds 2 half steps above what is written.".to_owned()), "{said:?}");
}

#[test]
fn the_same_recording_gives_the_same_places() {
    let (sound, _) = played(&sheet(BOAT), &FIRST_ONCE, 0.6, 1.0, -3.0);
    assert_eq!(found(BOAT, &sound, &[]), found(BOAT, &sound, &[]));
}

#[test]
fn what_she_gave_is_kept_to() {
    let (sound, begins) = played(&sheet(BOAT), &FIRST_ONCE, 0.6, 2.0, 0.0);
    let given = [Anchor { measure: 2, seconds: begins[2] + 0.11 }, Anchor { measure: 5, seconds: begins[9] - 0.05 }];
    let found = found(BOAT, &sound, &given);
    for anchor in given {
        let pass = found.passes.iter().find(|p| p.measure == anchor.measure && p.sure == Sure::Given).expect("the measure is given");
        assert!((pass.start().as_f64() - anchor.seconds).abs() < 0.001, "{:?}", pass.start());
    }
    assert_eq!(order(&found), FIRST_ONCE);
}

#[test]
fn places_that_cannot_be_right_are_refused() {
    let (sound, _) = played(&sheet(BOAT), &FIRST_ONCE, 0.6, 2.0, 0.0);
    let heard = listen(&sound);
    let says = |anchors: &[Anchor]| follow(&sheet(BOAT), tempo(), &heard, anchors).expect_err("they are refused").to_string();
    let at = |measure, seconds| Anchor { measure, seconds };
    assert_eq!(
        says(&[at(1, 5.0), at(6, 5.5)]),
        "the places you gave cannot all be right: at no tempo does the sheet come to these measures at these times; take away the one you are least sure of"
    );
    assert_eq!(
        says(&[at(1, 5.0), at(2, 5.05)]),
        "the places you gave cannot all be right: measure 2 and measure 3 are given at the same moment (5.0 s); take one away"
    );
    assert_eq!(says(&[at(8, 5.0)]), "measure 9 is not in this tune, which has 8");
    assert!(says(&[at(1, 500.0)]).starts_with("the places you gave cannot all be right: one lies at 500.0 s, the recording ends at "));
}

#[test]
fn another_tune_is_doubted() {
    let (sound, _) = played(&sheet(OTHER), &[0, 1, 2, 3, 4, 5, 6, 7, 0, 1, 2, 3, 4, 5, 6, 7], 0.6, 1.0, 0.0);
    let found = found(BOAT, &sound, &[]);
    assert!(found.is_doubted(), "{}", found.agrees);
    assert!(found.sentences(&sheet(BOAT), 0)[0].ends_with("Is it this tune? Do not rely on these places."));
}

#[test]
fn a_recording_that_ends_before_the_tune_is_said_to() {
    let (sound, _) = played(&sheet(BOAT), &[0], 0.2, 0.0, 0.0);
    let found = follow(&sheet(BOAT), tempo(), &listen(&sound), &[]);
    assert!(found.as_ref().is_ok_and(|f| f.broken_off), "{found:?}");
}

/// Three seconds of 440, 660 and 880 Hz, one each, of our own making, in each kind of file.
#[test]
fn every_kind_of_file_is_read() {
    for ending in ["mp3", "flac", "ogg"] {
        let file = format!("{}/tests/files/three-tones.{ending}", env!("CARGO_MANIFEST_DIR"));
        let sound = recording::open(file.as_ref()).unwrap_or_else(|e| panic!("{e}"));
        let seconds = sound.samples.len() as f64 / f64::from(RATE);
        assert!((2.95..3.15).contains(&seconds), "{ending}: {seconds} s");
        for (second, hertz) in [(0, 440), (1, 660), (2, 880)] {
            let from = second * RATE as usize + RATE as usize / 4;
            let part = &sound.samples[from..from + RATE as usize / 2];
            let waves = part.windows(2).filter(|w| w[0] <= 0.0 && w[1] > 0.0).count();
            assert!(waves.abs_diff(hertz / 2) <= 2, "{ending}, second {second}: {waves} waves in half a second");
        }
    }
}
