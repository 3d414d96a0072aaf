//! Chords of several voices beside those of experts, by duration: root; root and triad; root and full quality. Intervals by drawing works anew, two hundred times,
//! with a counter for chance.

use crate::facts::ExpertChord;

const DRAWS: usize = 200;

/// Quarter notes in all; with the right root; in all where the kind is told; with root and triad; with root and kind.
pub type Counts = [f64; 5];

/// A chord of ours: from where in quarter notes, its root as a pitch class, its kind as in tables.
pub type Ours = (f64, usize, &'static str);

/// The chords that are found in a score, from its bytes.
pub fn ours(bytes: &[u8]) -> Result<Vec<Ours>, formats::ReadError> {
    let read = formats::read_voices(bytes, &formats::ReadOptions::default())?;
    let found = harmony::voices::chords(&read.voices, &harmony::voices::Weights::ours());
    Ok(found.iter().map(|c| (c.start.as_f64(), c.label.root, c.label.quality.in_tables())).collect())
}

/// How long ours agree with a row of experts' chords.
pub fn counted(experts: &[ExpertChord], ours: &[Ours]) -> Counts {
    experts.iter().fold([0.0; 5], |sum, expert| {
        let here = agreement(expert, ours);
        std::array::from_fn(|i| sum[i] + here[i])
    })
}

/// How long of an expert's chord ours agree with it.
fn agreement(ExpertChord(from, to, root, kind, ..): &ExpertChord, ours: &[Ours]) -> Counts {
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

/// Shares with the right root, root and triad, root and full quality.
pub fn shares(works: &[Counts]) -> [f64; 3] {
    let sum: Counts = std::array::from_fn(|i| works.iter().map(|w| w[i]).sum());
    [sum[1] / sum[0], sum[3] / sum[2], sum[4] / sum[2]]
}

/// "10 works, root .919 (.90 to .94), …".
pub fn told(works: &[Counts]) -> String {
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
