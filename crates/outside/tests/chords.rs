//! The chords found in chorales, beside the Roman-numeral analyses that music21 bundles (twenty by experts; eighteen can be laid on their scores).
//!
//! Measured by duration: root; root and triad; root and full quality. The weights were fitted on every other chorale of this list among others; the floors
//! hold for the ones that were not seen. Intervals by drawing works anew, two hundred times, with a counter for chance.

use harmony::voices::{Weights, chords};
use outside::facts::{Analyses, Analysis, ExpertChord, load};
use std::path::Path;

/// A little under what is reached: .93 root, .92 with the triad, .87 in full.
const FLOORS: [f64; 3] = [0.91, 0.90, 0.84];
const DRAWS: usize = 200;

/// Quarter notes in all; with the right root; in all where the kind is told; with root and triad; with root and kind.
type Counts = [f64; 5];

#[test]
fn chorales_that_were_not_used_for_fitting() {
    let analyses: Analyses = load("chords");
    let mut scores: Vec<&Analysis> = analyses.scores.iter().filter(|s| !s.chords.is_empty()).collect();
    scores.sort_by_key(|s| &s.file);
    assert!(scores.len() >= 18, "eighteen analyses fit their scores, {} found", scores.len());
    let counts: Vec<Counts> = scores.iter().map(|s| counted(&analyses.root, s)).collect();
    let half = |which: usize| counts.iter().skip(which).step_by(2).copied().collect::<Vec<_>>();
    for (name, half) in [("used for fitting", half(0)), ("not used", half(1))] {
        println!("{name}: {}", told(&half));
    }
    let shares = shares(&half(1));
    for (share, floor) in shares.iter().zip(FLOORS) {
        assert!(*share >= floor, "root, triad, full {shares:.3?} fell below {FLOORS:?}");
    }
}

fn counted(root: &Path, score: &Analysis) -> Counts {
    let path = root.join(&score.file);
    let bytes = std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let read = formats::read_voices(&bytes, &formats::ReadOptions::default()).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let found = chords(&read.voices, &Weights::ours());
    let ours: Vec<(f64, usize, &str)> = found.iter().map(|c| (c.start.as_f64(), c.label.root, c.label.quality.in_tables())).collect();
    score.chords.iter().fold([0.0; 5], |sum, expert| {
        let here = agreement(expert, &ours);
        std::array::from_fn(|i| sum[i] + here[i])
    })
}

/// How long of an expert's chord ours agree with it.
fn agreement(ExpertChord(from, to, root, kind, ..): &ExpertChord, ours: &[(f64, usize, &str)]) -> Counts {
    let mut counts = [0.0; 5];
    let inside = ours.iter().map(|o| o.0).filter(|at| at > from && at < to);
    let cuts: Vec<f64> = std::iter::once(*from).chain(inside).chain([*to]).collect();
    for cut in cuts.windows(2) {
        let length = cut[1] - cut[0];
        let here = ours.partition_point(|o| o.0 <= cut[0] + 1e-9).checked_sub(1).map(|i| ours[i]);
        let right = here.is_some_and(|(_, r, _)| r == *root);
        let told = triad(kind).is_some();
        let agree = [
            true,
            right,
            told,
            told && right && triad(here.map_or("", |h| h.2)) == triad(kind),
            told && right && here.map_or("", |h| h.2) == kind,
        ];
        agree.iter().zip(&mut counts).filter(|(yes, _)| **yes).for_each(|(_, count)| *count += length);
    }
    counts
}

fn triad(kind: &str) -> Option<&'static str> {
    match kind {
        "maj" | "dom7" | "maj7" => Some("maj"),
        "min" | "min7" => Some("min"),
        "dim" | "hdim7" | "dim7" => Some("dim"),
        "aug" => Some("aug"),
        _ => None,
    }
}

fn shares(works: &[Counts]) -> [f64; 3] {
    let sum: Counts = std::array::from_fn(|i| works.iter().map(|w| w[i]).sum());
    [sum[1] / sum[0], sum[3] / sum[2], sum[4] / sum[2]]
}

fn told(works: &[Counts]) -> String {
    let mut state: u64 = 1;
    let mut draw = || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        works[(state >> 33) as usize % works.len()]
    };
    let drawn: Vec<[f64; 3]> = (0..DRAWS).map(|_| shares(&(0..works.len()).map(|_| draw()).collect::<Vec<_>>())).collect();
    let line = |(i, share): (usize, f64)| {
        let mut all: Vec<f64> = drawn.iter().map(|d| d[i]).collect();
        all.sort_by(f64::total_cmp);
        format!("{} {share:.3} ({:.3} to {:.3})", ["root", "triad", "full"][i], all[DRAWS / 40], all[DRAWS - 1 - DRAWS / 40])
    };
    let parts: Vec<String> = shares(works).into_iter().enumerate().map(line).collect();
    format!("{} works, {}", works.len(), parts.join(", "))
}
