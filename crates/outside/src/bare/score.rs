//! How long chords agree with those a tune is known with: root and triad, root, and the class tonic, subdominant or dominant.

use super::Case;
use music::{Beats, Chord};

/// Time in quarters: in all, with root and triad, with root, with the class.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Agreement(pub [f64; 4]);

impl Agreement {
    pub fn sum(all: impl IntoIterator<Item = Agreement>) -> Agreement {
        all.into_iter().fold(Agreement::default(), |a, b| Agreement(std::array::from_fn(|i| a.0[i] + b.0[i])))
    }

    /// Shares of root and triad, root, class.
    pub fn shares(self) -> [f64; 3] {
        std::array::from_fn(|i| self.0[i + 1] / self.0[0].max(1e-9))
    }
}

/// A row of chords, one a place, beside the known ones.
pub fn agreement(case: &Case, row: &[Chord]) -> Agreement {
    let mut sum = [0.0; 4];
    for (spot, ours) in case.ground.spots.iter().zip(row) {
        let tonic = case.ground.tonic(spot);
        for (_, at, length, known) in case.truth.iter().filter(|t| t.0 == spot.measure) {
            let shared = (*at + *length).min(spot.at + spot.length) - (*at).max(spot.at);
            if shared <= Beats::ZERO {
                continue;
            }
            let root = ours.root.pitch_class() == known.root.pitch_class();
            let above = |c: &Chord| tonic.above(c.root.pitch_class());
            let agree = [true, root && triad(ours) == triad(known), root, class(above(ours), ours) == class(above(known), known)];
            for (to, agrees) in sum.iter_mut().zip(agree) {
                *to += if agrees { shared.as_f64() } else { 0.0 };
            }
        }
    }
    Agreement(sum)
}

fn triad(chord: &Chord) -> (i32, i32) {
    (chord.third().map_or(4, |t| t.semitones), chord.fifth().map_or(7, |t| t.semitones))
}

/// Tonic: first, third and sixth degree; subdominant: second and fourth; dominant: fifth and seventh, and a dominant seventh on another degree is its own.
fn class(above: usize, chord: &Chord) -> u8 {
    match above {
        0 | 3 | 4 | 8 | 9 => 0,
        1 | 2 | 5 | 6 => {
            if above == 2 && chord.third().is_some_and(|t| t.semitones == 4) {
                3
            } else {
                1
            }
        }
        _ => 2,
    }
}

/// The middle 95 of a hundred of a share when melodies are drawn again a thousand times, with all their tunes.
pub fn interval(all: &[(usize, Agreement)], which: usize) -> (f64, f64) {
    let mut melodies: std::collections::BTreeMap<usize, Vec<Agreement>> = Default::default();
    all.iter().for_each(|(melody, a)| melodies.entry(*melody).or_default().push(*a));
    let melodies: Vec<Agreement> = melodies.into_values().map(Agreement::sum).collect();
    let mut state = 1_u64;
    let mut draw = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        melodies[(state >> 33) as usize % melodies.len()]
    };
    let mut figures: Vec<f64> = (0..1000).map(|_| Agreement::sum((0..melodies.len()).map(|_| draw())).shares()[which]).collect();
    figures.sort_by(f64::total_cmp);
    (figures[25], figures[974])
}

/// "exact .61 (.57 to .65), root .65 (.61 to .69), class .72 (.68 to .76)".
pub fn in_words(all: &[(usize, Agreement)]) -> String {
    let shares = Agreement::sum(all.iter().map(|a| a.1)).shares();
    let told = |(i, name): (usize, &&str)| {
        let (low, high) = interval(all, i);
        format!("{name} {:.3} ({low:.3} to {high:.3})", shares[i])
    };
    ["chord", "root", "class"].iter().enumerate().map(told).collect::<Vec<_>>().join(", ")
}
