//! Chords counted in degrees above the tonic, where the tonic is the one that the search finds.

use super::Case;
use harmony::bare::palette::Numeral;
use harmony::bare::table::Counts;
use music::{Beats, Chord};

/// The chord of the tune that holds for most of each place.
pub fn known(case: &Case) -> Vec<Option<&Chord>> {
    let of = |spot: &harmony::bare::places::Spot| {
        let mut held: Vec<(&Chord, Beats)> = Vec::new();
        for (_, at, length, chord) in case.truth.iter().filter(|t| t.0 == spot.measure) {
            let shared = (*at + *length).min(spot.at + spot.length) - (*at).max(spot.at);
            if shared > Beats::ZERO {
                match held.iter_mut().find(|h| h.0 == chord) {
                    Some(h) => h.1 += shared,
                    None => held.push((chord, shared)),
                }
            }
        }
        let most = held.iter().map(|h| h.1).max()?;
        held.into_iter().find(|h| h.1 == most).map(|h| h.0)
    };
    case.ground.spots.iter().map(of).collect()
}

/// The same as degrees; `None` where the palette has no such chord.
pub fn numerals(case: &Case) -> Vec<Option<Numeral>> {
    let spots = case.ground.spots.iter();
    known(case).into_iter().zip(spots).map(|(c, s)| Numeral::of(c?, case.ground.tonic(s))).collect()
}

pub fn count<'a>(cases: impl IntoIterator<Item = &'a Case>) -> Counts {
    let mut counts = Counts::default();
    for case in cases {
        let all = numerals(case);
        for (spot, numeral) in case.ground.spots.iter().zip(&all) {
            let family = case.ground.tonic(spot).family() as usize;
            if let Some(n) = numeral {
                counts.usual[family][spot.part as usize][usize::from(n.0)] += 1;
            }
        }
        for (i, pair) in all.windows(2).enumerate() {
            let (a, b) = (case.ground.tonic(&case.ground.spots[i]), case.ground.tonic(&case.ground.spots[i + 1]));
            if let (Some(from), Some(to)) = (pair[0], pair[1])
                && from != to
                && a == b
            {
                counts.follows[a.family() as usize][usize::from(from.0)][usize::from(to.0)] += 1;
            }
        }
    }
    counts
}
