//! Fits the weights of the planner to left hands made by hand.
//!
//! `cargo run --release -p arrange --features fitting --example fit -- LIST [EPOCHS]`, where each line of LIST is a MusicXML page made by hand, a tab, and the
//! tune it was made for. For each tune the plan in our own space that is nearest to the page should win against the plan the program makes; where it does not,
//! each weight is moved against what it counts in the difference (an averaged perceptron with steps of its own for each weight). Four folds over tunes say what
//! that does to tunes that were left out; then all tunes are fitted and the table is printed.

use arrange::fitting::{Lesson, School, names};
use arrange::principles::weight::{Weights, put};
use arrange::{Figures, Wishes};
use formats::ReadOptions;
use formats::musicxml::{ScoreOptions, read_score};
use harp::{Instrument, Player};
use std::error::Error;

/// Weights that say what cannot be done or is never wanted: they are not fitted, since no page made by hand has such a thing.
const FIXED: [&str; 13] = [
    "empty_first_beat",
    "empty_strong_beat",
    "chord_unstated",
    "off_the_tune",
    "bass_denied",
    "no_time",
    "hurried",
    "string_retaken",
    "hands_touch",
    "lead_astray",
    "piano_tie",
    "against_rhythm",
    "mud",
];
const FOLDS: usize = 4;
/// How far a weight moves in its first step, as a part of itself; later steps are the smaller the larger the steps before were.
const RATE: f64 = 0.2;
/// A weight counts as at least this much where it is moved, so that one of 0 can grow.
const LEAST: f64 = 30.0;
/// What a pluck of distance from the page made by hand is worth to the rival.
const MARGIN: i64 = 120;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let list = arguments.next().ok_or("a list of pages and tunes is needed")?;
    let epochs = arguments.next().map_or(Ok(8), |n| n.parse())?;
    let (figures, harp, player, wishes) = (Figures::own(), Instrument::lever_34(), Player::default(), Wishes::default());
    let school = School { figures: &figures, harp: &harp, player: &player, wishes: &wishes };
    let lessons = std::fs::read_to_string(list)?.lines().map(|line| lesson(line, &school)).collect::<Result<Vec<_>, _>>()?;
    let start = as_floats(&Weights::OURS);
    told_apart(&lessons, &school, &start);
    let (mut before, mut after) = ((0, 0), (0, 0));
    for fold in 0..FOLDS {
        let (left_out, learned): (Vec<_>, Vec<_>) = (0..lessons.len()).partition(|i| i % FOLDS == fold);
        let fitted = fit(&lessons, &learned, &school, &start, epochs);
        for index in left_out {
            let (old, new) = (measured(&lessons[index], &school, &start), measured(&lessons[index], &school, &fitted));
            println!("left out {index:2}: {:.2} -> {:.2} plucks a chord", per_slot(old), per_slot(new));
            before = (before.0 + old.0, before.1 + old.1);
            after = (after.0 + new.0, after.1 + new.1);
        }
    }
    let space = lessons.iter().map(|l| l.distance(&l.nearest(&school, &l.choices(&school)))).fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    println!("the nearest plans of our space: {:.3} plucks a chord", per_slot(space));
    println!("left out, all: {:.3} -> {:.3} plucks a chord", per_slot(before), per_slot(after));
    let all: Vec<usize> = (0..lessons.len()).collect();
    let sum = |weights: &[f64]| all.iter().map(|i| measured(&lessons[*i], &school, weights)).fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    let fitted = fit(&lessons, &all, &school, &start, epochs);
    println!("all fitted: {:.3} -> {:.3}", per_slot(sum(&start)), per_slot(sum(&fitted)));
    for ((name, old), new) in names().iter().zip(&start).zip(&fitted) {
        println!("{name}: {old} -> {}", (new / 10.0).round() * 10.0);
    }
    Ok(())
}

/// What the pages made by hand pay for each weight, and what the program's own plans pay.
fn told_apart(lessons: &[Lesson], school: &School, weights: &[f64]) {
    hold(weights);
    let mut sums = vec![(0.0, 0.0); weights.len()];
    for lesson in lessons {
        let choices = lesson.choices(school);
        let (wanted, made) =
            (lesson.counts(school, &lesson.nearest(school, &choices)), lesson.counts(school, &lesson.rival(school, &choices, 0)));
        for ((sum, weight), (wanted, made)) in sums.iter_mut().zip(weights).zip(wanted.iter().zip(&made)) {
            *sum = (sum.0 + wanted * weight, sum.1 + made * weight);
        }
    }
    let mut order: Vec<usize> = (0..sums.len()).collect();
    order.sort_by(|a, b| (sums[*b].0 - sums[*b].1).total_cmp(&(sums[*a].0 - sums[*a].1)));
    let names = names();
    for index in order.iter().filter(|i| sums[**i].0 != sums[**i].1) {
        println!("pays {}: by hand {:.0}, ours {:.0}", names[*index], sums[*index].0, sums[*index].1);
    }
}

fn lesson(line: &str, school: &School) -> Result<Lesson, Box<dyn Error>> {
    let (page, tune) = line.split_once('\t').ok_or("a page, a tab and a tune are needed on each line")?;
    let sheet = formats::read(&std::fs::read(tune)?, &ReadOptions::default())?.sheet;
    let page = read_score(&std::fs::read(page)?, &ScoreOptions::default())?.score;
    Ok(Lesson::new(&sheet, &page, school)?)
}

fn as_floats(weights: &Weights) -> Vec<f64> {
    weights.clone().named().into_iter().map(|(_, w)| *w as f64).collect()
}

fn hold(values: &[f64]) {
    let mut weights = Weights::OURS;
    for ((_, weight), value) in weights.named().into_iter().zip(values) {
        *weight = value.round() as i64;
    }
    put(weights);
}

fn measured(lesson: &Lesson, school: &School, weights: &[f64]) -> (i64, usize) {
    hold(weights);
    lesson.distance(&lesson.rival(school, &lesson.choices(school), 0))
}

fn per_slot((distance, slots): (i64, usize)) -> f64 {
    distance as f64 / 100.0 / slots as f64
}

fn fit(lessons: &[Lesson], learned: &[usize], school: &School, start: &[f64], epochs: usize) -> Vec<f64> {
    let names = names();
    let mut now = start.to_vec();
    let mut sum = vec![0.0; now.len()];
    let mut squares = vec![0.0; now.len()];
    let mut steps = 0.0;
    for _ in 0..epochs {
        for index in learned {
            let lesson = &lessons[*index];
            hold(&now);
            let choices = lesson.choices(school);
            let (by_hand, rival) = (lesson.nearest(school, &choices), lesson.rival(school, &choices, MARGIN));
            let (wanted, made) = (lesson.counts(school, &by_hand), lesson.counts(school, &rival));
            let sizes: Vec<f64> = now.iter().map(|w| w.max(LEAST)).collect();
            let difference: Vec<f64> =
                (0..now.len()).map(|i| if FIXED.contains(&names[i]) { 0.0 } else { (wanted[i] - made[i]) * sizes[i] }).collect();
            for i in 0..now.len() {
                squares[i] += difference[i] * difference[i];
                let step = if squares[i] > 0.0 { difference[i] / squares[i].sqrt() } else { 0.0 };
                let most = start[i] * 3.0 + 200.0;
                now[i] = (now[i] - RATE * sizes[i] * step).clamp(start[i] / 5.0, most);
            }
            now.iter().zip(&mut sum).for_each(|(w, s)| *s += w);
            steps += 1.0;
        }
    }
    sum.iter().map(|s| s / steps).collect()
}
