//! The plain ways that have to be beaten: the tonic throughout; for each place by itself the chord that is likeliest by how often it is used and by its notes; and the same with
//! how often one chord comes after another, as a hidden Markov model. All are counted on the same tunes as the rest.

use super::{Case, counts::numerals};
use harmony::bare::palette::{CHORDS, Numeral};

type Table = Vec<[f64; CHORDS]>;

pub struct Baselines {
    /// By family: log share of each chord.
    usual: [[f64; CHORDS]; 2],
    /// By family, chord before: log share of the next, itself included.
    next: [Table; 2],
    /// By family and chord: log share of each tone above the tonic.
    tones: [Vec<[f64; 12]>; 2],
}

impl Baselines {
    pub fn of<'a>(cases: impl IntoIterator<Item = &'a Case>) -> Baselines {
        let mut usual = [[0.5; CHORDS]; 2];
        let mut next = [vec![[0.1; CHORDS]; CHORDS], vec![[0.1; CHORDS]; CHORDS]];
        let mut tones = [vec![[0.1; 12]; CHORDS], vec![[0.1; 12]; CHORDS]];
        for case in cases {
            let all = numerals(case);
            for (i, spot) in case.ground.spots.iter().enumerate() {
                let Some(n) = all[i].map(|n| usize::from(n.0)) else { continue };
                let tonic = case.ground.tonic(spot);
                let family = tonic.family() as usize;
                usual[family][n] += 1.0;
                if let Some(before) = i.checked_sub(1).and_then(|j| all[j]) {
                    next[family][usize::from(before.0)][n] += 1.0;
                }
                for note in &spot.notes {
                    tones[family][n][tonic.above(note.pitch.pitch_class())] += note.length.as_f64();
                }
            }
        }
        let logs = |row: &mut [f64]| {
            let sum: f64 = row.iter().sum();
            row.iter_mut().for_each(|x| *x = (*x / sum).ln());
        };
        usual.iter_mut().for_each(|r| logs(r));
        next.iter_mut().flatten().for_each(|r| logs(r));
        tones.iter_mut().flatten().for_each(|r| logs(r));
        Baselines { usual, next, tones }
    }

    fn at(&self, case: &Case, i: usize) -> [f64; CHORDS] {
        let spot = &case.ground.spots[i];
        let tonic = case.ground.tonic(spot);
        let family = tonic.family() as usize;
        let notes = |c: usize| {
            spot.notes.iter().map(|n| n.length.as_f64() * self.tones[family][c][tonic.above(n.pitch.pitch_class())]).sum::<f64>()
        };
        std::array::from_fn(notes)
    }

    pub fn tonic(case: &Case) -> Vec<Numeral> {
        vec![Numeral::TONIC; case.ground.spots.len()]
    }

    pub fn unigram(&self, case: &Case) -> Vec<Numeral> {
        let of = |i: usize| {
            let family = case.ground.tonic(&case.ground.spots[i]).family() as usize;
            let at = self.at(case, i);
            most(std::array::from_fn(|c| at[c] + self.usual[family][c]))
        };
        (0..case.ground.spots.len()).map(|i| Numeral(of(i) as u8)).collect()
    }

    pub fn bigram(&self, case: &Case) -> Vec<Numeral> {
        let family = |i: usize| case.ground.tonic(&case.ground.spots[i]).family() as usize;
        let count = case.ground.spots.len();
        let mut rows: Vec<([f64; CHORDS], [usize; CHORDS])> = Vec::new();
        for i in 0..count {
            let at = self.at(case, i);
            let come = |c: usize| match rows.last() {
                None => (self.usual[family(i)][c], 0),
                Some((before, _)) => {
                    let all: [f64; CHORDS] = std::array::from_fn(|b| before[b] + self.next[family(i)][b][c]);
                    let b = most(all);
                    (all[b], b)
                }
            };
            let come: [(f64, usize); CHORDS] = std::array::from_fn(come);
            rows.push((std::array::from_fn(|c| come[c].0 + at[c]), come.map(|c| c.1)));
        }
        let mut chord = most(rows[count - 1].0);
        let mut found = vec![Numeral(chord as u8)];
        for i in (1..count).rev() {
            chord = rows[i].1[chord];
            found.push(Numeral(chord as u8));
        }
        found.reverse();
        found
    }
}

fn most(all: [f64; CHORDS]) -> usize {
    (0..CHORDS).rev().max_by(|a, b| all[*a].total_cmp(&all[*b])).unwrap_or(0)
}
