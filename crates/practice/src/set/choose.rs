//! Tunes that fill a time: "twenty minutes of quiet".
//!
//! Of the tunes whose kind suits the word, those are taken whose lengths together come nearest to the time: exactly, by going through every sum of seconds that can be reached (each tune
//! once; if all of them together are too short, up to twice, then up to three times). Of several choices as near, the one with the fewest tunes played again; of those again, the tunes that stand first.

use harmony::kind::KindOfTune;
use music::Seconds;
use std::fmt;

/// The longest time that is filled, in seconds: four hours.
pub const LONGEST: usize = 4 * 3600;
/// A tune is played so many times at most.
const TIMES: u8 = 3;
/// The tunes are too few if together they are shorter than so many hundredths of the time.
const NEAR: usize = 95;

/// What the music is to be like.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mood {
    #[default]
    Any,
    Quiet,
    Lively,
}

impl Mood {
    pub const ALL: [Mood; 3] = [Mood::Any, Mood::Quiet, Mood::Lively];

    pub fn name(self) -> &'static str {
        match self {
            Mood::Any => "any",
            Mood::Quiet => "quiet",
            Mood::Lively => "lively",
        }
    }

    pub fn parse(text: &str) -> Option<Mood> {
        Mood::ALL.into_iter().find(|m| m.name() == text.trim().to_lowercase())
    }

    /// Whether a kind of tune suits it. Common practice.
    pub fn suits(self, kind: KindOfTune) -> bool {
        use KindOfTune::{Air, Carol, Hymn, Lament, Lullaby, OldDance, Song, Waltz};
        match self {
            Mood::Any => true,
            Mood::Quiet => matches!(kind, Air | Song | Hymn | Carol | Lullaby | Lament | Waltz),
            Mood::Lively => kind.is_dance() && !matches!(kind, Waltz | OldDance),
        }
    }

    /// The kinds in words, for whoever asks.
    pub fn kinds(self) -> String {
        let all: Vec<&str> = KindOfTune::ALL.into_iter().filter(|k| self.suits(*k)).map(KindOfTune::name).collect();
        all.join(", ")
    }
}

impl fmt::Display for Mood {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// The tunes that were taken.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chosen {
    /// Index of the tune and how many times it is played, in the order in which they were given.
    pub tunes: Vec<(usize, u8)>,
    /// In whole seconds, each tune's own rounded.
    pub seconds: usize,
}

/// A length in whole seconds.
pub fn whole(length: Seconds) -> usize {
    usize::try_from((length.micros() + 500_000) / 1_000_000).unwrap_or(0).max(1)
}

/// Tunes of these lengths for a time of so many seconds, at most [`LONGEST`]. Nothing where there are no tunes.
pub fn choose(lengths: &[Seconds], wanted: usize) -> Chosen {
    let lengths: Vec<usize> = lengths.iter().map(|l| whole(*l)).collect();
    let wanted = wanted.clamp(1, LONGEST);
    let sum: usize = lengths.iter().sum();
    let times = (1..TIMES).find(|t| sum * usize::from(*t) * 100 >= wanted * NEAR).unwrap_or(TIMES);
    let found = nearest(&lengths, wanted, times);
    if found.tunes.is_empty() { shortest(&lengths) } else { found }
}

/// All are more than twice as long as the time.
fn shortest(lengths: &[usize]) -> Chosen {
    let shortest = (0..lengths.len()).min_by_key(|t| lengths[*t]);
    shortest.map_or_else(Chosen::default, |t| Chosen { tunes: vec![(t, 1)], seconds: lengths[t] })
}

/// `fewest[t][s]` is the fewest playings again with which tunes from `t` on come to `s` seconds: the least over k of `fewest[t + 1][s - k * length]` + (k - 1 for k > 1).
fn nearest(lengths: &[usize], wanted: usize, times: u8) -> Chosen {
    const NEVER: u16 = u16::MAX;
    // A sum beyond twice the time is farther from it than no music at all.
    let most = 2 * wanted;
    let mut fewest = vec![vec![NEVER; most + 1]; lengths.len() + 1];
    fewest[lengths.len()][0] = 0;
    for tune in (0..lengths.len()).rev() {
        let (before, after) = fewest.split_at_mut(tune + 1);
        for (seconds, place) in before[tune].iter_mut().enumerate() {
            let ways = (0..=times).filter_map(|k| Some((k, *after[0].get(seconds.checked_sub(usize::from(k) * lengths[tune])?)?)));
            let again = ways.filter(|(_, rest)| *rest != NEVER).map(|(k, rest)| rest + u16::from(k.saturating_sub(1)));
            *place = again.min().unwrap_or(NEVER);
        }
    }
    let reached = (1..=most).filter(|s| fewest[0][*s] != NEVER);
    let Some(seconds) = reached.min_by_key(|s| (s.abs_diff(wanted), fewest[0][*s])) else { return Chosen::default() };
    let (mut tunes, mut left) = (Vec::new(), seconds);
    for (tune, length) in lengths.iter().enumerate() {
        let taken = |k: &u8| {
            let rest = left.checked_sub(usize::from(*k) * length).map_or(NEVER, |s| fewest[tune + 1][s]);
            rest != NEVER && rest + u16::from(k.saturating_sub(1)) == fewest[tune][left]
        };
        // The tunes that stand first are taken first.
        let k = (1..=times).chain([0]).find(taken).unwrap_or(0);
        left -= usize::from(k) * length;
        if k > 0 {
            tunes.push((tune, k));
        }
    }
    Chosen { tunes, seconds }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn seconds(all: &[i64]) -> Vec<Seconds> {
        all.iter().map(|s| Seconds::from_millis(s * 1000)).collect()
    }

    /// Arithmetic.
    #[test]
    fn nearest_to_the_time() {
        let chosen = choose(&seconds(&[100, 70, 45, 60]), 120);
        assert_eq!(chosen, Chosen { tunes: vec![(1, 1), (2, 1)], seconds: 115 }, "70 + 45 is nearer to 120 than 60 + 45, 130 or 145");
        assert_eq!(choose(&seconds(&[100, 50, 70]), 120).tunes, [(1, 1), (2, 1)], "50 and 70 are 120");
        assert_eq!(choose(&seconds(&[50, 40]), 140), Chosen { tunes: vec![(0, 2), (1, 1)], seconds: 140 }, "too few: one again");
        assert_eq!(choose(&seconds(&[50]), 1200), Chosen { tunes: vec![(0, 3)], seconds: 150 }, "no more than three times");
        assert_eq!(choose(&seconds(&[500, 400]), 60), Chosen { tunes: vec![(1, 1)], seconds: 400 });
        assert_eq!(choose(&[], 60), Chosen::default());
    }

    #[test]
    fn kinds_suit_a_mood() {
        assert_eq!(Mood::Quiet.kinds(), "waltz, air, song, hymn, carol, lullaby, lament");
        assert_eq!(Mood::Lively.kinds(), "jig, slip jig, reel, hornpipe, polka, march");
        assert_eq!((Mood::parse(" Quiet"), Mood::parse("loud")), (Some(Mood::Quiet), None));
    }

    proptest! {
        /// Every choice of tunes tried: none is nearer.
        #[test]
        fn as_near_as_the_nearest_of_all(lengths in prop::collection::vec(1_i64..90, 1..9), wanted in 1_usize..400) {
            let total: i64 = lengths.iter().sum();
            let once = total as usize * 100 >= wanted * NEAR;
            let found = choose(&seconds(&lengths), wanted);
            let sum: usize = found.tunes.iter().map(|(t, k)| lengths[*t] as usize * usize::from(*k)).sum();
            prop_assert_eq!(sum, found.seconds);
            if once {
                let of = |some: u32| -> usize { (0..lengths.len()).filter(|t| some >> t & 1 == 1).map(|t| lengths[t] as usize).sum() };
                let least = (1..1_u32 << lengths.len()).map(|some| of(some).abs_diff(wanted)).min().expect("a tune");
                prop_assert_eq!(found.seconds.abs_diff(wanted), least);
                prop_assert!(found.tunes.iter().all(|(_, k)| *k == 1));
            }
        }
    }
}
