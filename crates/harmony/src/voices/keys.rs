//! The key at each moment, from the notes alone: a search through the twenty-four keys that would rather stay than move.

use super::moments::Moment;

/// A key as the search knows it: tonic 0 to 11, major or minor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct LocalKey {
    pub tonic: usize,
    /// 0 major, 1 minor.
    pub mode: usize,
}

const KEYS: usize = 24;

/// How well each semitone above the tonic fits the key; the natural scales, in minor with both sevenths. Ours, after the
/// profiles of the literature (Krumhansl 1990, Temperley 2001), rounded.
const FITS: [[i64; 12]; 2] = [[50, 5, 35, 5, 45, 40, 5, 45, 5, 35, 5, 40], [50, 5, 35, 45, 5, 40, 5, 45, 35, 5, 15, 40]];

/// One key a moment. `change` is the price of moving, in thousandths of a quarter note of a perfect fit.
pub(super) fn keys(moments: &[Moment], signature: i32, change: i64) -> Vec<LocalKey> {
    let mut best = [0i64; KEYS];
    let mut from: Vec<[u8; KEYS]> = Vec::with_capacity(moments.len());
    for (k, price) in best.iter_mut().enumerate() {
        *price = -change * distance(key(k), signature);
    }
    for moment in moments {
        let top = (0..KEYS).rev().max_by_key(|k| best[*k]).unwrap_or(0);
        let mut now = [0i64; KEYS];
        let mut back = [0u8; KEYS];
        for k in 0..KEYS {
            let moved = best[top] - change * 4;
            let (start, before) = if best[k] >= moved { (best[k], k) } else { (moved, top) };
            now[k] = start + fit(moment, key(k));
            back[k] = before as u8;
        }
        from.push(back);
        best = now;
    }
    let mut at = (0..KEYS).rev().max_by_key(|k| best[*k]).unwrap_or(0);
    let mut found = Vec::with_capacity(moments.len());
    for back in from.iter().rev() {
        found.push(key(at));
        at = usize::from(back[at]);
    }
    found.reverse();
    found
}

fn key(index: usize) -> LocalKey {
    LocalKey { tonic: index % 12, mode: index / 12 }
}

/// How many signs the key's signature is away from the written one.
fn distance(key: LocalKey, signature: i32) -> i64 {
    let major = (key.tonic + if key.mode == 1 { 3 } else { 0 }) % 12;
    let there = (major as i32 * 7).rem_euclid(12);
    let apart = (there - signature).rem_euclid(12);
    i64::from(apart.min(12 - apart))
}

fn fit(moment: &Moment, key: LocalKey) -> i64 {
    let count = moment.notes.len().max(1) as i64;
    let sum: i64 = moment.notes.iter().map(|n| FITS[key.mode][(n.pitch.rem_euclid(12) as usize + 12 - key.tonic) % 12]).sum();
    sum * moment.length / (50 * count)
}
