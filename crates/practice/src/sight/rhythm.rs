//! The rhythm of a sheet, in sixteenths: two motifs open a phrase, one of them comes back in its third measure, and the fourth comes to rest.

use super::chords::{Plan, second_chord};
use super::level::Level;
use super::luck::Luck;

/// The meters of sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meter {
    FourFour,
    ThreeFour,
    TwoFour,
    SixEight,
}

impl Meter {
    /// A measure in sixteenths.
    pub fn length(self) -> u32 {
        match self {
            Meter::FourFour => 16,
            Meter::ThreeFour | Meter::SixEight => 12,
            Meter::TwoFour => 8,
        }
    }

    /// The beat that is counted.
    pub fn beat(self) -> u32 {
        if self == Meter::SixEight { 6 } else { 4 }
    }

    /// Where the melody leans.
    pub fn strong(self, at: u32) -> bool {
        match self {
            Meter::FourFour => at.is_multiple_of(8),
            Meter::ThreeFour | Meter::TwoFour => at == 0,
            Meter::SixEight => at.is_multiple_of(6),
        }
    }

    pub fn text(self) -> &'static str {
        match self {
            Meter::FourFour => "4/4",
            Meter::ThreeFour => "3/4",
            Meter::TwoFour => "2/4",
            Meter::SixEight => "6/8",
        }
    }
}

/// Lengths that fill half a measure of 4/4, or one of 2/4, by the level that brings them.
const HALVES: [&[&[u32]]; 5] = [
    &[&[4, 4], &[8], &[4, 4]],
    &[&[2, 2, 4], &[4, 2, 2], &[2, 2, 2, 2]],
    &[&[6, 2], &[6, 2]],
    &[&[2, 4, 2], &[3, 1, 4], &[4, 2, 1, 1], &[6, 1, 1]],
    &[&[1, 1, 2, 4], &[2, 1, 1, 2, 2], &[3, 1, 3, 1]],
];

/// Lengths that fill a measure of 3/4.
const THREES: [&[&[u32]]; 5] = [
    &[&[4, 4, 4], &[8, 4], &[4, 4, 4]],
    &[&[4, 2, 2, 4], &[4, 4, 2, 2], &[2, 2, 4, 4], &[8, 2, 2]],
    &[&[6, 2, 4], &[4, 6, 2], &[6, 2, 2, 2], &[6, 2, 4]],
    &[&[3, 1, 4, 4], &[4, 3, 1, 4], &[2, 4, 2, 4], &[6, 1, 1, 4]],
    &[&[2, 2, 2, 2, 2, 2], &[4, 1, 1, 2, 4], &[3, 1, 2, 2, 4]],
];

/// Lengths that fill half a measure of 6/8.
const LILTS: [&[&[u32]]; 5] = [&[], &[], &[&[4, 2], &[2, 2, 2], &[6], &[4, 2]], &[&[3, 1, 2], &[2, 4]], &[&[2, 1, 1, 2], &[1, 1, 2, 2]]];

/// The lengths of every measure, and of the pickup.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rhythm {
    pub measures: Vec<Vec<u32>>,
    pub pickup: Vec<u32>,
}

/// Gives every measure its lengths.
pub fn rhythm(rules: &Level, meter: Meter, plan: &Plan, luck: &mut Luck) -> Rhythm {
    let pickup = pickup(rules, meter, luck);
    let left: u32 = pickup.iter().sum();
    let mut measures: Vec<Vec<u32>> = Vec::new();
    for (index, phrase) in plan.phrases.iter().enumerate() {
        let last = index + 1 == plan.phrases.len();
        for measure in 0..4 {
            let two = plan.chords[index * 4 + measure].len() > 1;
            let fits = |lengths: &[u32]| !two || begins(lengths, second_chord(meter));
            let here = match (measure, phrase.like) {
                (0 | 1, Some(like)) => measures[like * 4 + measure].clone(),
                (3, _) => close(rules, meter, if last { left } else { 0 }, two, luck),
                // What was heard comes back.
                (2, _) if fits(&measures[index * 4]) && luck.percent(if rules.number == 1 { 40 } else { 70 }) => {
                    measures[index * 4].clone()
                }
                _ => {
                    let mut found = filled(rules, meter, luck);
                    for _ in 0..24 {
                        if fits(&found) {
                            break;
                        }
                        found = filled(rules, meter, luck);
                    }
                    if fits(&found) { found } else { plain(meter) }
                }
            };
            measures.push(here);
        }
    }
    Rhythm { measures, pickup }
}

/// Whether a note begins at this place.
fn begins(lengths: &[u32], at: u32) -> bool {
    let mut sum = 0;
    lengths.iter().any(|length| {
        let here = sum == at;
        sum += length;
        here
    })
}

/// A beat for each note.
fn plain(meter: Meter) -> Vec<u32> {
    vec![meter.beat(); (meter.length() / meter.beat()) as usize]
}

/// A measure of the level's cells; the newest are likelier than those that have long been known.
fn filled(rules: &Level, meter: Meter, luck: &mut Luck) -> Vec<u32> {
    let (table, times) = match meter {
        Meter::FourFour => (&HALVES, 2),
        Meter::TwoFour => (&HALVES, 1),
        Meter::ThreeFour => (&THREES, 1),
        Meter::SixEight => (&LILTS, 2),
    };
    let level = usize::from(rules.number);
    let known: Vec<&[u32]> = table[..level].iter().flat_map(|cells| cells.iter().copied()).collect();
    let new = table[level - 1];
    let mut lengths: Vec<u32> = Vec::new();
    for _ in 0..times {
        let cell = if !new.is_empty() && luck.percent(30) { *luck.one_of(new) } else { *luck.one_of(&known) };
        lengths.extend(cell);
    }
    lengths
}

/// The last measure of a phrase comes to rest; that of the piece leaves the pickup its room.
fn close(rules: &Level, meter: Meter, pickup: u32, two: bool, luck: &mut Luck) -> Vec<u32> {
    let whole = meter.length() - pickup;
    let choices: Vec<Vec<u32>> = match meter {
        Meter::FourFour if two => vec![vec![8, whole - 8]],
        Meter::FourFour => vec![vec![whole], vec![4, 4, whole - 8], vec![8, whole - 8], vec![6, 2, whole - 8]],
        Meter::ThreeFour => vec![vec![8, whole - 8], vec![whole], vec![4, whole - 4], vec![4, 4, whole - 8]],
        Meter::TwoFour => vec![vec![whole], vec![4, whole - 4]],
        Meter::SixEight => vec![vec![6, whole - 6], vec![4, 2, whole - 6], vec![whole]],
    };
    let good = |lengths: &Vec<u32>| {
        lengths.iter().all(|l| [2, 4, 6, 8, 12, 16].contains(l) && *l >= rules.shortest && (*l != 6 || rules.number >= 3))
            && lengths.last().is_some_and(|l| *l >= 4)
    };
    let right = |lengths: &Vec<u32>| good(lengths) && (!two || begins(lengths, second_chord(meter)));
    let choices: Vec<Vec<u32>> = choices.into_iter().map(|c| c.into_iter().filter(|l| *l > 0).collect()).filter(right).collect();
    if choices.is_empty() { plain(meter) } else { luck.one_of(&choices).clone() }
}

fn pickup(rules: &Level, meter: Meter, luck: &mut Luck) -> Vec<u32> {
    if !luck.percent(rules.pickup) {
        return Vec::new();
    }
    let choices: &[&[u32]] = match (meter, rules.shortest) {
        (Meter::SixEight, _) => &[&[2]],
        (_, 4) => &[&[4]],
        _ => &[&[4], &[2, 2], &[2]],
    };
    luck.one_of(choices).to_vec()
}
