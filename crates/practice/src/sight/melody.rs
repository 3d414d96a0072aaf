//! The line of a sheet: the cheapest way through the strings of the level, phrase by phrase.
//!
//! A state is a string, how it was come to (a leap wants to turn back by step) and whether it stands outside its chord (then it is left by step as it was
//! come to). The cheapest way to a state is the least, over the states of the note before, of their ways and the step between; the best last state gives the
//! phrase. Steps are cheap and leaps dear, a line that draws a curve over its phrase is cheap, and each string of each note has a little price of its own, from the number of
//! the sheet: there sheets differ. Two measures that come back have their notes already.

use super::chords::{Close, Harmony, Plan, second_chord};
use super::level::Level;
use super::luck::Luck;
use super::rhythm::{Meter, Rhythm};
use music::{Key, Mode};

/// A note of the melody: its length in sixteenths and its step, counted from the tonic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tone {
    pub length: u32,
    pub step: i32,
    /// Raised by a half step: the leading tone of a minor key.
    pub raised: bool,
}

/// All notes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Melody {
    pub measures: Vec<Vec<Tone>>,
    pub pickup: Vec<Tone>,
}

/// One note to be found.
#[derive(Clone, Copy)]
struct Spot {
    length: u32,
    harmony: Harmony,
    /// It has to stand in its chord.
    leans: bool,
    /// Only these scale degrees, a bit each.
    allowed: u8,
    /// Already found.
    fixed: Option<i32>,
    wish: i32,
    /// What the same note did in the measure that this one is like.
    echo: Option<i32>,
}

const ALL: u8 = 0x7f;

/// What things cost. Ours; only their order matters.
const BY_INTERVAL: [i32; 8] = [40, 0, 14, 30, 34, 44, 70, 52];
const OUTSIDE: i32 = 10;
const OUTSIDE_ON_A_BEAT: i32 = 26;
const NO_TURN_AFTER_A_LEAP: i32 = 40;
const OFF_THE_CURVE: i32 = 5;
const OTHER_THAN_THE_ECHO: i32 = 9;
/// The little price of each string of each note is below this; where a level has few rhythms it is larger, so that no two of its sheets begin alike.
fn own_price(rules: &Level) -> usize {
    if rules.number == 1 { 34 } else { 24 }
}

const TURN_AFTER_A_STEP: i32 = 9;
const NEVER: i32 = i32::MAX / 4;

/// Finds the melody of a sheet. `None`: from what came before no line of the level leads to a close.
pub fn melody(rules: &Level, key: &Key, meter: Meter, plan: &Plan, rhythm: &Rhythm, luck: &mut Luck) -> Option<Melody> {
    let mut melody = Melody::default();
    for (index, phrase) in plan.phrases.iter().enumerate() {
        let first = index * 4;
        let curve = curve(rules, luck);
        let last = index + 1 == plan.phrases.len();
        let mut spots: Vec<Spot> = Vec::new();
        let pickup: &[u32] = if index == 0 { &rhythm.pickup } else { &[] };
        for length in pickup {
            let harmony = plan.chords[0][0];
            spots.push(Spot {
                length: *length,
                harmony,
                leans: false,
                allowed: 1 | 1 << 4 | 1 << 2 | 1 << 1 | 1 << 6,
                fixed: None,
                wish: 0,
                echo: None,
            });
        }
        let opens = spots.len();
        let mut sizes = Vec::new();
        for measure in 0..4 {
            let head = spots.len();
            let lengths = &rhythm.measures[first + measure];
            let mut at = 0;
            for (note, length) in lengths.iter().enumerate() {
                let harmony = harmony_at(&plan.chords[first + measure], meter, at);
                let heads_chord = at == 0 || plan.chords[first + measure].len() > 1 && at == second_chord(meter);
                let fixed =
                    phrase.like.filter(|_| measure < 2).and_then(|like| melody.measures[like * 4 + measure].get(note)).map(|t| t.step);
                spots.push(Spot {
                    length: *length,
                    harmony,
                    leans: meter.strong(at) || heads_chord || *length >= 6,
                    allowed: ALL,
                    fixed,
                    wish: curve(measure as u32 * meter.length() + at, 4 * meter.length()),
                    echo: None,
                });
                at += length;
            }
            // Small ranges leave the search little to choose: there the number says on which tone of the chord a measure begins.
            if rules.number <= 2 && phrase.like.is_none() && matches!(measure, 1 | 2) {
                let tones: Vec<usize> = spots[head].harmony.degrees().collect();
                spots[head].allowed = 1 << luck.one_of(&tones);
            }
            sizes.push(lengths.len());
        }
        begin(&mut spots[opens], index);
        finish(&mut spots, key, phrase.close, last);
        if let (Close::Open, true, Some(end)) = (phrase.close, rules.number <= 2, spots.last_mut()) {
            let tones: Vec<usize> = end.harmony.degrees().collect();
            end.allowed = 1 << luck.one_of(&tones);
        }
        let steps = found(rules, key, meter, &mut spots, (opens, &sizes, rhythm, first), luck)?;
        let raised = |spot: &Spot, step: i32| step.rem_euclid(7) == 6 && spot.harmony.raises(key);
        let mut tones = spots.iter().zip(steps).map(|(spot, step)| Tone { length: spot.length, step, raised: raised(spot, step) });
        melody.pickup.extend(tones.by_ref().take(opens));
        for size in sizes {
            melody.measures.push(tones.by_ref().take(size).collect());
        }
    }
    Some(melody)
}

fn harmony_at(chords: &[Harmony], meter: Meter, at: u32) -> Harmony {
    if at >= second_chord(meter) { chords[chords.len() - 1] } else { chords[0] }
}

/// A curve over a phrase: up and down again, down from the top, or up to the middle of the range.
fn curve(rules: &Level, luck: &mut Luck) -> impl Fn(u32, u32) -> i32 + use<> {
    let (low, high) = rules.range;
    let (kind, lift) = (luck.below(4), luck.between(0, 2) as i32);
    move |at, whole| {
        let (at, whole) = (at as i32, whole.max(1) as i32);
        let middle = (low + high) / 2;
        match kind {
            0 | 1 => middle - 1 + (high - middle) * (whole - (2 * at - whole).abs()) / whole + lift - 1,
            2 => high - lift - (high - low - 1) * at / whole,
            _ => middle - 1 + (high - middle) * at / whole,
        }
    }
}

/// A piece begins on the tonic, its third or its fifth.
fn begin(first: &mut Spot, phrase: usize) {
    if phrase == 0 {
        first.allowed = 1 | 1 << 2 | 1 << 4;
    }
}

/// The last notes of a phrase: a full close falls or rises to the tonic by step.
fn finish(spots: &mut [Spot], key: &Key, close: Close, piece: bool) {
    let Some(end) = spots.len().checked_sub(1) else { return };
    // The last measure may repeat its tone: the close is where its chord begins.
    let degrees = |all: &[usize]| all.iter().fold(0, |bits: u8, d| bits | 1 << d);
    match close {
        Close::Full => {
            spots[end].allowed = degrees(&[0]);
            if let Some(before) = end.checked_sub(1).filter(|b| spots[*b].fixed.is_none() && !spots[*b].leans) {
                spots[before].allowed = degrees(if key.mode == Mode::Minor { &[1, 0, 2] } else { &[1, 6, 2, 0] });
            }
            spots[end].wish = if piece { 0 } else { spots[end].wish };
        }
        Close::Light => spots[end].allowed = degrees(&[2, 4]),
        Close::Open => spots[end].allowed = spots[end].harmony.degrees().fold(0, |bits, d| bits | 1 << d),
    }
    spots[end].leans = true;
}

/// How a string was come to.
const ENTRIES: usize = 5;

fn entry(step: i32) -> usize {
    match step {
        ..=-3 => 0,
        -2..=-1 => 1,
        0 => 2,
        1..=2 => 3,
        _ => 4,
    }
}

type Shape<'a> = (usize, &'a [usize], &'a Rhythm, usize);

/// The steps of a phrase: its first two measures, then the others with the first ones in the ear.
fn found(
    rules: &Level,
    key: &Key,
    meter: Meter,
    spots: &mut [Spot],
    (opens, sizes, rhythm, first): Shape,
    luck: &mut Luck,
) -> Option<Vec<i32>> {
    let head = opens + sizes[0] + sizes[1];
    let opening = search(rules, key, meter, &spots[..head], None, luck)?;
    let third = &rhythm.measures[first + 2];
    let like: Option<usize> = (0..2).find(|m| rhythm.measures[first + m] == *third);
    if let Some(like) = like {
        let from = opens + if like == 0 { 0 } else { sizes[0] };
        for note in 1..sizes[2] {
            spots[head + note].echo = Some(opening[from + note] - opening[from + note - 1]);
        }
    }
    let before = opening.last().map(|step| (*step, entry(0), spots[head - 1]));
    let rest = search(rules, key, meter, &spots[head..], before, luck)?;
    Some([opening, rest].concat())
}

/// Semitones of a step above the tonic.
fn semitones(key: &Key, step: i32, raised: bool) -> i32 {
    let letter = music::Step::from_index(key.tonic().step.index() + step);
    let name = music::PitchName::new(letter, key.alter(letter) + i32::from(raised));
    (name.pitch_class() - key.tonic().pitch_class()).rem_euclid(12) + 12 * step.div_euclid(7)
}

fn search(rules: &Level, key: &Key, meter: Meter, spots: &[Spot], before: Option<(i32, usize, Spot)>, luck: &mut Luck) -> Option<Vec<i32>> {
    let (low, high) = rules.range;
    let width = (high - low + 1) as usize;
    let states = width * ENTRIES * 2;
    let state = |step: i32, entry: usize, outside: bool| ((step - low) as usize * ENTRIES + entry) * 2 + usize::from(outside);
    let mut ways: Vec<Vec<(i32, usize)>> = Vec::new();
    for (place, spot) in spots.iter().enumerate() {
        let own: Vec<i32> = (0..width).map(|_| luck.below(own_price(rules)) as i32).collect();
        let mut here = vec![(NEVER, 0); states];
        let last_spot = place.checked_sub(1).map(|p| &spots[p]).or(before.as_ref().map(|b| &b.2)).unwrap_or(spot);
        for step in low..=high {
            let degree = step.rem_euclid(7) as usize;
            let inside = spot.harmony.has(degree);
            let kept = spot.fixed.is_none_or(|fixed| fixed == step);
            // The seventh of a minor key has two forms; outside the dominant neither is sung.
            let doubtful = key.mode == Mode::Minor && degree == 6 && !spot.harmony.raises(key);
            let barred = spot.fixed.is_none() && (!inside && spot.leans || spot.allowed >> degree & 1 == 0 || doubtful);
            if !kept || barred {
                continue;
            }
            let curve = OFF_THE_CURVE * (step - spot.wish).abs();
            let price = own[(step - low) as usize] + curve + if inside { 0 } else { outside_price(meter, spots, place) };
            let mut arrive = |from: Option<(usize, i32, usize, bool)>, sum: i32| {
                let (index, moved, came, outside) = from.map_or((0, 0, entry(0), false), |(i, s, e, o)| (i, step - s, e, o));
                let Some(step_price) =
                    from.map_or(Some(0), |(_, s, ..)| between(rules, key, (s, came, outside), (step, inside), spot, last_spot))
                else {
                    return;
                };
                let echo = spot.echo.map_or(0, |echo| OTHER_THAN_THE_ECHO * (echo - moved).abs().min(3));
                let total = sum + price + step_price + echo;
                let to = state(step, entry(moved), !inside);
                if total < here[to].0 {
                    here[to] = (total, index);
                }
            };
            match ways.last() {
                None => match before {
                    None if inside || spot.fixed.is_some() || !spot.leans => arrive(None, 0),
                    None => {}
                    Some((from, came, _)) => arrive(Some((0, from, came, false)), 0),
                },
                Some(last) => {
                    for (index, (sum, _)) in last.iter().enumerate().filter(|(_, (sum, _))| *sum < NEVER) {
                        let (from, came, outside) = (low + (index / (ENTRIES * 2)) as i32, index / 2 % ENTRIES, index % 2 == 1);
                        arrive(Some((index, from, came, outside)), *sum);
                    }
                }
            }
        }
        ways.push(here);
    }
    walk_back(&ways, low)
}

fn outside_price(meter: Meter, spots: &[Spot], place: usize) -> i32 {
    // Counted from the end of the stretch, which ends with a measure: where beats lie.
    let left: u32 = spots[place..].iter().map(|s| s.length).sum();
    if left.is_multiple_of(meter.beat()) { OUTSIDE_ON_A_BEAT } else { OUTSIDE }
}

/// The price of going from a string to another; `None` where a melody of the level does not.
fn between(
    rules: &Level,
    key: &Key,
    (from, came, outside): (i32, usize, bool),
    (to, inside): (i32, bool),
    spot: &Spot,
    last: &Spot,
) -> Option<i32> {
    let moved = to - from;
    let size = moved.unsigned_abs() as usize;
    if spot.fixed.is_some() && last.fixed.is_some() {
        return Some(0);
    }
    if moved.abs() > rules.leap || size == 6 || (outside || !inside) && size != 1 {
        return None;
    }
    let raised = |spot: &Spot, step: i32| step.rem_euclid(7) == 6 && spot.harmony.raises(key);
    let sounds = (semitones(key, to, raised(spot, to)) - semitones(key, from, raised(last, from))).abs();
    // Neither the tritone nor the step of three half steps is sung.
    if sounds == 6 || size == 1 && sounds == 3 {
        return None;
    }
    // A leading tone rises, or stays.
    if raised(last, from) && !matches!(moved, 0 | 1) && size > 2 {
        return None;
    }
    let turned = match came {
        0 => (0..=2).contains(&moved),
        4 => (-2..=0).contains(&moved),
        _ => true,
    };
    let back = if came == 1 && moved > 0 || came == 3 && moved < 0 { TURN_AFTER_A_STEP } else { 0 };
    let quick = if spot.length <= 2 && size > 2 { 20 } else { 0 };
    Some(BY_INTERVAL[size.min(7)] + if turned { 0 } else { NO_TURN_AFTER_A_LEAP } + back + quick)
}

fn walk_back(ways: &[Vec<(i32, usize)>], low: i32) -> Option<Vec<i32>> {
    let last = ways.last()?;
    let mut state = (0..last.len()).min_by_key(|s| (last[*s].0, *s)).filter(|s| last[*s].0 < NEVER)?;
    let mut steps = Vec::with_capacity(ways.len());
    for way in ways.iter().rev() {
        steps.push(low + (state / (ENTRIES * 2)) as i32);
        state = way[state].1;
    }
    steps.reverse();
    Some(steps)
}
