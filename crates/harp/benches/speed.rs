//! How long the settings and the fingering of a tune of 64 measures take: an ordinary one and a chromatic one, on levers and on pedals, each half played
//! twice.
//!
//! Run with `scripts/bench`, in the one profile everything is built in.

#[path = "../tests/dice/mod.rs"]
mod dice;

use criterion::{Criterion, criterion_group, criterion_main};
use dice::Dice;
use harp::fingering::{self, Line, Pluck};
use harp::settings::remedies::{neighbours, remedies};
use harp::settings::{Choice, DEFAULT_WIDTH, GridPlace, MoveTimes, Omission, Passage, Prices, Spelling, Use, plan};
use harp::{Fluency, Instrument, Mechanism, Player, Tuning};
use music::{Hand, Pitch, Seconds, Step};

const MEASURES: usize = 64;
/// Half beats in a measure of four.
const GRID: usize = 8;
/// A half beat at 96 beats a minute.
const HALF_BEAT: i64 = 312_500;

fn pedals() -> Instrument {
    let pedals = Mechanism::Pedals { fixed: Vec::new() };
    Instrument::new("pedals".into(), Pitch::new(Step::C, 0, 1), 47, Tuning([-1; 7]), pedals).expect("a harp")
}

/// An invented tune in both hands: place, length in half beats, string, whether a sign stands before the note. One note in `plain` has a sign.
fn tune(plain: u64) -> Vec<(usize, usize, i32, bool)> {
    let mut dice = Dice(0x5eed);
    let mut notes = Vec::new();
    let mut at_string = 33;
    for measure in 0..MEASURES {
        let from = measure * GRID;
        for (at, length) in [(0, 2), (2, 1), (3, 1), (4, 4)] {
            at_string = (at_string + dice.throw(5) as i32 - 2).clamp(28, 40);
            notes.push((from + at, length, at_string, dice.throw(plain) == 0));
        }
        let bass = 14 + dice.throw(7) as i32;
        let left: &[(usize, usize, i32)] = if measure % 4 == 3 { &[(0, 8, 0), (0, 8, 4)] } else { &[(0, 4, 0), (4, 2, 4), (6, 2, 7)] };
        notes.extend(left.iter().map(|(at, length, above)| (from + at, *length, bass + above, dice.throw(3 * plain) == 0)));
    }
    notes.sort();
    notes.dedup_by_key(|n| (n.0, n.2));
    notes
}

fn passage(harp: &Instrument, plain: u64) -> Passage {
    let notes = tune(plain);
    let key = harp_key(harp);
    let place = |i: usize| {
        let next = notes.iter().filter(|n| n.2 < 28 && n.0 > i).map(|n| n.0).min().unwrap_or(MEASURES * GRID);
        let busy = notes.iter().any(|n| n.2 < 28 && n.0 == i);
        let room = if busy { 0 } else { (next - i) as i64 * HALF_BEAT - 300_000 };
        let awkward = if i.is_multiple_of(2) { 0 } else { 120 };
        GridPlace { at: Seconds::from_micros(i as i64 * HALF_BEAT), room: Seconds::from_micros(room.max(0)), awkward }
    };
    let places: Vec<GridPlace> = (0..MEASURES * GRID).map(place).collect();
    let uses = notes.iter().map(|(place, length, string, sign)| {
        let alter = key[string.rem_euclid(7) as usize] + i32::from(*sign) * if key[string.rem_euclid(7) as usize] > 0 { -1 } else { 1 };
        let pitch = Pitch::at_position(*string, alter);
        let other = neighbours(harp, pitch).into_iter().filter(|p| *p != pitch).map(|pitch| Spelling { pitch, price: 300 });
        let spellings = std::iter::once(Spelling { pitch, price: 0 }).chain(other).collect();
        Use { place: *place, until: place + length, spellings, omission: Omission::Never }
    });
    let (half, end) = (MEASURES * GRID / 2, Seconds::from_micros((MEASURES * GRID) as i64 * HALF_BEAT));
    Passage::new(places, end, uses.collect(), vec![0..half, 0..half, half..2 * half, half..2 * half]).expect("a passage")
}

/// D major on both.
fn harp_key(_: &Instrument) -> [i32; 7] {
    [1, 0, 0, 1, 0, 0, 0]
}

fn lines() -> [(Hand, Line); 2] {
    let notes = tune(1000);
    [Hand::Right, Hand::Left].map(|hand| {
        let own = |n: &&(usize, usize, i32, bool)| (n.2 >= 28) == (hand == Hand::Right);
        let mut plucks: Vec<Pluck> = Vec::new();
        for note in notes.iter().filter(own) {
            let at = Seconds::from_micros(note.0 as i64 * HALF_BEAT);
            match plucks.last_mut() {
                Some(last) if last.at == at => last.strings.push(note.2),
                _ => plucks.push(Pluck::of(at, &[note.2])),
            }
        }
        (hand, Line::new(plucks).expect("a line"))
    })
}

fn settings(criterion: &mut Criterion) {
    let (times, prices) = (MoveTimes::of(Fluency::Fluent), Prices::default());
    let mut group = criterion.benchmark_group("64 measures");
    for (name, harp) in [("levers", Instrument::lever_34()), ("pedals", pedals())] {
        for (kind, plain) in [("ordinary", 40), ("chromatic", 8)] {
            let passage = passage(&harp, plain);
            let found = plan(&harp, &passage, &times, &prices, DEFAULT_WIDTH);
            println!(
                "{kind} on {name}: {} notes, {} signs, {:?}, feasible: {}",
                passage.uses().len(),
                found.marks.len(),
                found.proof,
                found.is_feasible()
            );
            group.bench_function(format!("settings, {kind}, {name}"), |b| b.iter(|| plan(&harp, &passage, &times, &prices, DEFAULT_WIDTH)));
        }
    }
    let (harp, width) = (Instrument::lever_34(), DEFAULT_WIDTH);
    let passage = passage(&harp, 40);
    let missing = plan(&harp, &passage, &times, &prices, width).choices.iter().position(|c| *c == Choice::Missing).expect("one is missing");
    group.bench_function("remedies of one note, levers", |b| b.iter(|| remedies(&harp, &passage, &times, &prices, width, missing)));
    let (lines, player, prices) = (lines(), Player::default(), fingering::Prices::default());
    group.bench_function("fingering", |b| {
        b.iter(|| lines.each_ref().map(|(hand, line)| fingering::finger(line, *hand, &player, &prices).expect("fingers")));
    });
    group.finish();
}

criterion_group!(benches, settings);
criterion_main!(benches);
