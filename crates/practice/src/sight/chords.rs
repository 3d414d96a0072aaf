//! The chords of a sheet: phrases of four measures that open on the tonic's side, go on by usual steps and close on a cadence.
//!
//! What may follow what is common practice of tonal harmony (and of the Dorian and Mixolydian tunes of dance music). A phrase of which the first two measures
//! come back takes their chords along.

use super::level::Level;
use super::luck::Luck;
use super::rhythm::Meter;
use music::{Beats, Chord, ChordKind, Key, Mode, PitchName, Step};

/// A chord of the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Harmony {
    /// The scale's degree of its root, from 0.
    pub degree: usize,
    pub seventh: bool,
}

/// The chords of all measures and the form they stand in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    pub chords: Vec<Vec<Harmony>>,
    /// Each phrase, four measures long.
    pub phrases: Vec<Phrase>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Phrase {
    /// The earlier phrase whose first two measures it begins with.
    pub like: Option<usize>,
    pub close: Close,
}

/// How a phrase ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Close {
    /// On the dominant (Mixolydian and Dorian: on the seventh degree or the fifth).
    Open,
    /// On the tonic's chord, the melody on another tone than the tonic.
    Light,
    /// On the tonic.
    Full,
}

/// What may follow a degree, and how often, in a key's mode.
fn follows(mode: Mode, level: u8) -> [&'static [(usize, u32)]; 7] {
    match (mode, level) {
        (Mode::Dorian, _) => [
            &[(0, 2), (3, 4), (6, 5), (4, 2)],
            &[(6, 1), (0, 1)],
            &[(6, 3), (3, 2)],
            &[(0, 4), (6, 3)],
            &[(0, 3), (6, 2)],
            &[(6, 1)],
            &[(0, 6), (3, 2), (2, 1)],
        ],
        (Mode::Mixolydian, _) => [
            &[(0, 1), (6, 6), (3, 4), (1, 2), (4, 1)],
            &[(6, 3), (3, 2), (4, 1)],
            &[(3, 1)],
            &[(0, 4), (6, 4)],
            &[(0, 2), (3, 1)],
            &[(1, 2), (3, 2)],
            &[(0, 6), (3, 2)],
        ],
        (Mode::Minor, _) => [
            &[(0, 2), (3, 5), (4, 4), (5, 4)],
            &[(4, 1)],
            &[(3, 1)],
            &[(0, 2), (4, 5), (5, 1)],
            &[(0, 6), (5, 2)],
            &[(3, 5), (4, 2), (0, 1)],
            &[(0, 1)],
        ],
        (_, 1) => [&[(0, 2), (3, 4), (4, 4)], &[], &[], &[(0, 3), (4, 4)], &[(0, 6)], &[], &[]],
        _ => [
            &[(0, 1), (3, 5), (4, 4), (5, 4), (1, 2)],
            &[(4, 6), (0, 1)],
            &[(5, 2), (3, 2)],
            &[(0, 3), (4, 5), (1, 2)],
            &[(0, 6), (5, 3)],
            &[(3, 4), (1, 4), (4, 1)],
            &[(0, 1)],
        ],
    }
}

/// The form of a sheet in phrases.
fn form(measures: usize, luck: &mut Luck) -> Vec<Phrase> {
    let of = |like: Option<usize>, close: Close| Phrase { like, close };
    use Close::{Full, Light, Open};
    if measures == 8 {
        let like = luck.percent(65).then_some(0);
        return vec![of(None, if luck.percent(75) { Open } else { Light }), of(like, Full)];
    }
    match luck.below(4) {
        0 => vec![of(None, Open), of(Some(0), Light), of(None, Open), of(Some(0), Full)],
        1 => vec![of(None, Open), of(Some(0), Full), of(None, Open), of(None, Full)],
        2 => vec![of(None, Light), of(None, Open), of(Some(0), Light), of(None, Full)],
        _ => vec![of(None, Open), of(None, Light), of(Some(0), Open), of(Some(1), Full)],
    }
}

/// Lays out the chords of a sheet.
pub fn plan(rules: &Level, key: &Key, meter: Meter, luck: &mut Luck) -> Plan {
    let phrases = form(rules.measures, luck);
    let table = follows(key.mode, rules.number);
    let mut chords: Vec<Vec<Harmony>> = Vec::new();
    for (index, phrase) in phrases.iter().enumerate() {
        let kept: Vec<usize> = phrase.like.map_or(Vec::new(), |like| chords[like * 4..like * 4 + 2].iter().map(|m| m[0].degree).collect());
        let degrees = walk(&table, &kept, opening(index, phrases.len(), key.mode, luck), *phrase, key.mode, luck);
        for (measure, degree) in degrees.iter().enumerate() {
            if let (Some(like), true) = (phrase.like, measure < 2) {
                let again = chords[like * 4 + measure].clone();
                chords.push(again);
                continue;
            }
            let next = degrees.get(measure + 1).copied();
            chords.push(measured(rules, key, meter, *degree, next, luck));
        }
    }
    Plan { chords, phrases }
}

/// The degree on which a phrase opens: the third of four may begin away from home.
fn opening(index: usize, phrases: usize, mode: Mode, luck: &mut Luck) -> usize {
    let away: &[usize] = match mode {
        Mode::Minor => &[3, 5],
        Mode::Dorian | Mode::Mixolydian => &[6, 3],
        _ => &[3, 5, 4],
    };
    if index == 2 && phrases == 4 && luck.percent(60) && mode != Mode::Major {
        *luck.one_of(away)
    } else if index == 2 && phrases == 4 && luck.percent(60) {
        away[luck.below(2)]
    } else {
        0
    }
}

/// Four degrees: from the opening, or from the two measures that come back, to the close.
fn walk(table: &[&[(usize, u32)]; 7], kept: &[usize], opens: usize, phrase: Phrase, mode: Mode, luck: &mut Luck) -> Vec<usize> {
    let modal = matches!(mode, Mode::Dorian | Mode::Mixolydian);
    let ends: &[usize] = match (phrase.close, modal) {
        (Close::Open, true) => &[6, 4],
        (Close::Open, false) => &[4],
        (Close::Light | Close::Full, _) => &[0],
    };
    let before: &[usize] = match (phrase.close, modal) {
        (Close::Open, _) => &[0, 1, 3, 5],
        (Close::Light | Close::Full, true) => &[6, 4],
        (Close::Light | Close::Full, false) => &[4],
    };
    let weight = |from: usize, to: usize| table[from].iter().find(|(d, _)| *d == to).map_or(0, |(_, w)| *w);
    let mut ways: Vec<(Vec<usize>, u32)> = Vec::new();
    for second in 0..7 {
        for third in 0..7 {
            for last in ends {
                let all = [opens, second, third, *last];
                let kept_here = kept.iter().zip(&all).all(|(k, a)| k == a);
                if !kept_here || !before.contains(&third) {
                    continue;
                }
                let first = if kept.is_empty() { weight(opens, second) } else { 1 };
                let worth = first * weight(second, third) * weight(third, *last);
                if worth > 0 {
                    ways.push((all.to_vec(), worth));
                }
            }
        }
    }
    let whole: u32 = ways.iter().map(|(_, w)| w).sum();
    if whole == 0 {
        // After what is kept nothing usual leads to the close: the dominant always does.
        let lead = if modal { 6 } else { 4 };
        let second = kept.get(1).copied().unwrap_or(0);
        return vec![kept.first().copied().unwrap_or(opens), second, if phrase.close == Close::Open { 0 } else { lead }, ends[0]];
    }
    let mut at = luck.below(whole as usize) as u32;
    for (way, worth) in ways {
        if at < worth {
            return way;
        }
        at -= worth;
    }
    unreachable!("a number below the sum falls on one of the parts")
}

/// The chords of one measure: one, or on the way to the next measure a second one.
fn measured(rules: &Level, key: &Key, meter: Meter, degree: usize, next: Option<usize>, luck: &mut Luck) -> Vec<Harmony> {
    let sevenths = rules.number >= 2 && !matches!(key.mode, Mode::Dorian | Mode::Mixolydian);
    let of = |degree: usize, luck: &mut Luck| Harmony {
        degree,
        seventh: sevenths && (degree == 4 && luck.percent(40) || degree == 1 && rules.number >= 4 && luck.percent(40)),
    };
    let mut all = vec![of(degree, luck)];
    let Some(next) = next.filter(|_| meter != Meter::TwoFour && luck.percent(rules.two_chords)) else { return all };
    let between: Vec<usize> = follows(key.mode, rules.number)[degree]
        .iter()
        .map(|(d, _)| *d)
        .filter(|d| *d != degree && *d != next && follows(key.mode, rules.number)[*d].iter().any(|(to, _)| *to == next))
        .collect();
    if !between.is_empty() {
        let second = *luck.one_of(&between);
        all.push(of(second, luck));
    }
    all
}

impl Harmony {
    /// The scale degrees of its tones, from 0.
    pub fn degrees(self) -> impl Iterator<Item = usize> {
        [0, 2, 4, 6].into_iter().take(if self.seventh { 4 } else { 3 }).map(move |third| (self.degree + third) % 7)
    }

    pub fn has(self, degree: usize) -> bool {
        self.degrees().any(|d| d == degree)
    }

    /// The dominant of a minor key has its third raised.
    pub fn raises(self, key: &Key) -> bool {
        key.mode == Mode::Minor && self.degree == 4
    }

    /// The chord in a key.
    pub fn chord(self, key: &Key) -> Chord {
        let name = |degree: usize| {
            let step = Step::from_index(key.tonic().step.index() + degree as i32);
            let raised = degree == 6 && self.raises(key);
            PitchName::new(step, key.alter(step) + i32::from(raised))
        };
        let root = name(self.degree);
        let above = |third: usize| (name((self.degree + third) % 7).pitch_class() - root.pitch_class()).rem_euclid(12);
        let kind = match (above(2), above(4), self.seventh.then(|| above(6))) {
            (4, 7, None) => ChordKind::Major,
            (3, 7, None) => ChordKind::Minor,
            (4, 7, Some(10)) => ChordKind::Dominant,
            (3, 7, Some(10)) => ChordKind::MinorSeventh,
            (4, 7, Some(_)) => ChordKind::MajorSeventh,
            (3, 6, Some(10)) => ChordKind::HalfDiminished,
            _ => ChordKind::Diminished,
        };
        Chord::new(root, kind)
    }
}

/// Where the second chord of a measure begins.
pub fn second_chord(meter: Meter) -> u32 {
    match meter {
        Meter::FourFour => 8,
        Meter::ThreeFour => 8,
        Meter::TwoFour => 4,
        Meter::SixEight => 6,
    }
}

/// A length in sixteenths.
pub fn sixteenths(count: u32) -> Beats {
    Beats::quarters(i64::from(count), 4).expect("sixteenths are exact")
}
