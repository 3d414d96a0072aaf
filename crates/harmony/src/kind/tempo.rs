//! The tempo a harpist takes for a kind of tune in a meter. The figures are ours, after common practice on the harp.

use super::KindOfTune;
use super::KindOfTune::*;
use music::{Beats, Meter, Tempo};

/// The tempo a harpist takes for this kind in this meter. Ours; always said as assumed.
///
/// ```
/// use harmony::{KindOfTune, assumed_tempo};
/// use music::{Beats, Meter};
///
/// // A tempo for a jig counts its dotted quarters.
/// assert_eq!(assumed_tempo(KindOfTune::Jig, &Meter::simple(6, 8)).unit(), Beats::EIGHTH * 3);
/// ```
pub fn assumed_tempo(kind: KindOfTune, meter: &Meter) -> Tempo {
    let beat = meter.beat();
    let per_minute = match (meter.numerator(), meter.unit) {
        (n, _) if meter.is_compound() && !(n == 6 && meter.unit == 4) => compound(kind),
        (3, 8 | 16) => return tempo(beat * 3, compound(kind)),
        (_, 2) | (6, 4) => return tempo(Beats::HALF, halves(kind, meter)),
        (2, 4) if matches!(kind, Reel | Hornpipe) => halves(kind, meter),
        (3, 4) => triple(kind),
        (_, 8 | 16 | 32 | 64) => return tempo(Beats::QUARTER, simple(kind)),
        _ if matches!(kind, Reel | Hornpipe) => return tempo(Beats::HALF, halves(kind, meter)),
        _ => simple(kind),
    };
    tempo(beat, per_minute)
}

fn tempo(unit: Beats, per_minute: i64) -> Tempo {
    Tempo::of(unit, per_minute).or_else(|| Tempo::of(Beats::QUARTER, per_minute)).expect("the tables lie between 4 and 1000 a minute")
}

/// Dotted quarters a minute.
fn compound(kind: KindOfTune) -> i64 {
    match kind {
        Jig => 100,
        SlipJig | March | Polka => 104,
        Reel | Hornpipe => 96,
        OldDance => 72,
        Song | Carol => 60,
        Waltz | Hymn => 54,
        Air => 50,
        Lullaby => 48,
        Lament => 42,
    }
}

/// Half notes a minute.
fn halves(kind: KindOfTune, meter: &Meter) -> i64 {
    match kind {
        Reel | Jig | SlipJig => 92,
        Hornpipe | OldDance if meter.numerator().is_multiple_of(3) => 84,
        Hornpipe => 76,
        OldDance => 72,
        Polka | March => 100,
        Waltz => 100,
        Song | Carol => 66,
        Hymn => 60,
        Air | Lullaby => 48,
        Lament => 42,
    }
}

/// Quarter notes a minute in three-four.
fn triple(kind: KindOfTune) -> i64 {
    match kind {
        Waltz => 126,
        OldDance => 108,
        Jig | SlipJig | Reel | Hornpipe | Polka | March => 104,
        Song | Carol => 92,
        Hymn => 84,
        Lullaby => 80,
        Air => 66,
        Lament => 56,
    }
}

/// Quarter notes a minute in two-four, four-four and the odd meters.
fn simple(kind: KindOfTune) -> i64 {
    match kind {
        Polka => 112,
        Waltz => 126,
        March | Jig | SlipJig | Reel | Hornpipe | OldDance => 104,
        Song | Carol => 88,
        Hymn => 80,
        Lullaby => 72,
        Air => 66,
        Lament => 56,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ours.
    #[test]
    fn tempi() {
        let tempo = |kind, n, unit| {
            let tempo = assumed_tempo(kind, &Meter::simple(n, unit));
            format!("{} = {}", tempo.unit(), tempo.milli_per_minute() / 1000)
        };
        assert_eq!(tempo(Jig, 6, 8), "3/2 = 100");
        assert_eq!(tempo(SlipJig, 9, 8), "3/2 = 104");
        assert_eq!(tempo(Reel, 4, 4), "2 = 92");
        assert_eq!(tempo(Reel, 2, 4), "1 = 92");
        assert_eq!(tempo(Hornpipe, 2, 2), "2 = 76");
        assert_eq!(tempo(Polka, 2, 4), "1 = 112");
        assert_eq!(tempo(Waltz, 3, 4), "1 = 126");
        assert_eq!(tempo(Song, 3, 4), "1 = 92");
        assert_eq!(tempo(Song, 4, 4), "1 = 88");
        assert_eq!(tempo(Air, 6, 8), "3/2 = 50");
        assert_eq!(tempo(OldDance, 3, 2), "2 = 84");
        assert_eq!(tempo(OldDance, 6, 4), "2 = 84");
        assert_eq!(tempo(Song, 5, 4), "1 = 88");
        assert_eq!(tempo(Jig, 3, 8), "3/2 = 100");
    }

    #[test]
    fn every_kind_has_a_tempo_in_every_meter() {
        for kind in KindOfTune::ALL {
            for unit in [1, 2, 4, 8, 16, 32, 64] {
                for n in 1..=64 {
                    let measure = assumed_tempo(kind, &Meter::simple(n, unit));
                    assert!(measure.milli_per_minute() >= 40_000, "{kind} in {n}/{unit}");
                }
            }
        }
    }
}
