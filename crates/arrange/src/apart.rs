//! How far two ways of playing one chord are apart: in the bass, in the rhythm, in what is plucked above.

use crate::hand_time::Pluck;

/// Nothing in common.
pub(crate) const WHOLE: i64 = 1_000;
/// Another bass, another rhythm, and other strings above the bass (OURS: each can be heard at once).
const BASS: i64 = 350;
const RHYTHM: i64 = 300;
const SHAPE: i64 = 350;

/// What is compared of the plucks of a slot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Heard {
    bass: Option<i32>,
    moments: Vec<music::Beats>,
    above: Vec<i32>,
}

impl Heard {
    pub fn of(plucks: &[Pluck]) -> Heard {
        let bass = plucks.first().map(Pluck::low);
        let mut above: Vec<i32> = plucks.iter().flat_map(|p| &p.pitches).map(|p| p.position()).filter(|p| Some(*p) != bass).collect();
        above.sort_unstable();
        above.dedup();
        Heard { bass, moments: plucks.iter().map(|p| p.at).collect(), above }
    }

    pub fn same_bass(&self, other: &Heard) -> bool {
        self.bass == other.bass
    }

    pub fn same_rhythm(&self, other: &Heard) -> bool {
        self.moments == other.moments
    }

    /// From 0, the same, to [`WHOLE`].
    pub fn apart(&self, other: &Heard) -> i64 {
        let shared = self.above.iter().filter(|p| other.above.contains(p)).count();
        let all = self.above.len() + other.above.len() - shared;
        let shape = if all == 0 { 0 } else { SHAPE * (all - shared) as i64 / all as i64 };
        let part = |same: bool, whole: i64| if same { 0 } else { whole };
        part(self.same_bass(other), BASS) + part(self.same_rhythm(other), RHYTHM) + shape
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::{Beats, Pitch};

    fn heard(text: &str) -> Heard {
        let pluck = |(at, word): (usize, &str)| Pluck {
            at: Beats::QUARTER * at as i64,
            length: Beats::QUARTER,
            pitches: word.split('+').map(|p| Pitch::parse(p).expect("a pitch")).collect(),
            rolled: false,
        };
        Heard::of(&text.split(' ').enumerate().map(pluck).collect::<Vec<_>>())
    }

    /// Arithmetic with the three weights above.
    #[test]
    fn bass_rhythm_and_shape_count_apart() {
        let here = heard("G2 D3+B3 D3+B3");
        assert_eq!(here.apart(&here), 0);
        assert_eq!(here.apart(&heard("B2 D3+B3 D3+B3")), BASS);
        assert_eq!(here.apart(&heard("G2 D3+B3")), RHYTHM);
        assert_eq!(here.apart(&heard("G2 E3+C4 E3+C4")), SHAPE);
        assert_eq!(here.apart(&heard("C3 E3+C4")), WHOLE);
    }
}
