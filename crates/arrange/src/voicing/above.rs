//! The shapes of the right hand over a melody in the left: one to four tones of the chord in close position, under one hand, above the highest string that the
//! melody has in the slot.

use super::Tones;
use crate::slots::Slot;
use harp::{Instrument, Player};
use music::{Chord, Pitch};

/// The strings looked at above the lowest that is free: an octave and a half.
const UP_TO: i32 = 12;
/// The widest shape of two and three tones, in steps: an octave. One of four may be as wide as the hand.
const WIDEST: i32 = 7;
/// Shapes that are kept of one, two, three and four tones, and further ones that stay within the key.
const KEPT: [usize; 4] = [5, 9, 10, 8];
const KEPT_IN_KEY: [usize; 4] = [2, 3, 3, 2];

/// Shapes of one, two, three and four tones, lowest first, the likeliest first. `floor` is the lowest string that is free.
pub fn shapes(slot: &Slot, chord: &Chord, floor: i32, harp: &Instrument, player: &Player) -> [Vec<Vec<Pitch>>; 4] {
    let tones = Tones::of(chord);
    let free: Vec<(i32, Pitch)> = (floor..=(floor + UP_TO).min(harp.highest())).filter_map(|p| tones.on(p, harp)).collect();
    let reach = player.right.block as i32 - 1;
    let mut all: [Vec<(i64, Vec<Pitch>)>; 4] = Default::default();
    grow(&free, &mut Vec::new(), (0, reach), &mut |shape| {
        let pitches: Vec<Pitch> = shape.iter().map(|(_, p)| *p).collect();
        all[shape.len() - 1].push((likely(chord, shape, floor), pitches));
    });
    let in_key = |p: &Pitch| slot.key.alter(p.step) == p.alter;
    let mut size = 0;
    all.map(|mut shapes| {
        shapes.sort_by_key(|(price, shape)| (*price, shape.iter().map(|p| p.position()).collect::<Vec<_>>()));
        let mut within_the_key = 0;
        let mut kept = Vec::new();
        for (_, shape) in shapes {
            let plain = shape.iter().all(in_key) && within_the_key < KEPT_IN_KEY[size];
            within_the_key += usize::from(plain);
            if plain || kept.len() < KEPT[size] {
                kept.push(shape);
            }
        }
        size += 1;
        kept
    })
}

/// A tone of the chord, by its degree.
type Tone = (i32, Pitch);

/// Every shape from a string upward.
fn grow(free: &[Tone], shape: &mut Vec<Tone>, (from, reach): (usize, i32), found: &mut dyn FnMut(&[Tone])) {
    for next in from..free.len() {
        let width = shape.first().map_or(0, |(_, low)| free[next].1.position() - low.position());
        if width > reach || width > WIDEST && shape.len() < 3 {
            break;
        }
        shape.push(free[next]);
        found(shape);
        if shape.len() < 4 {
            grow(free, shape, (next + 1, reach), found);
        }
        shape.pop();
    }
}

/// A rough order, so that poor shapes need not be priced: near the melody, each tone once, the third and the seventh among them.
fn likely(chord: &Chord, shape: &[Tone], floor: i32) -> i64 {
    let has = |degree: i32| shape.iter().any(|(d, _)| *d == degree);
    let mut classes: Vec<i32> = shape.iter().map(|(_, p)| p.pitch_class()).collect();
    classes.sort_unstable();
    classes.dedup();
    let doubled = (shape.len() - classes.len()) as i64;
    let lacks = |tone: Option<music::ChordTone>, degree: i32, price: i64| if tone.is_some() && !has(degree) { price } else { 0 };
    let touching = shape.windows(2).filter(|w| w[1].1.position() - w[0].1.position() < 2).count() as i64;
    let octave = i64::from(shape.len() < 4) * 70 * doubled;
    let up = i64::from(shape[0].1.position() - floor);
    let width = shape[shape.len() - 1].1.position() - shape[0].1.position();
    let tender = shape.iter().filter(|(d, _)| matches!(d, 3 | 7)).count() as i64;
    let wide = 25 * i64::from((width - WIDEST).max(0)) + if shape.len() == 4 { 40 * (tender - 1).max(0) } else { 0 };
    wide + 12 * up + octave + lacks(chord.third(), 3, 60) + lacks(chord.seventh(), 7, 50) + if has(1) { 0 } else { 20 } + 90 * touching
}
