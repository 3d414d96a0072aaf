//! Where one breathes: phrases that may begin at any note, found by a semi-Markov search.
//!
//! [`super::cues`] says what speaks for a phrase beginning at a note and what for a length, [`super::table`] what each cue is worth. With `breath(j)` the worth of
//! the cues at note `j` and `length(i, j)` that of the stretch from note `i` up to it, `best(0) = 0` and
//! `best(j) = max over i of best(i) + length(i, j) + breath(j)`, where the end of the tune has no cues of its own. Of equal ways the shorter last phrase wins.
//! Cost: [`MOST_NOTES`] steps a note.

use super::cues::Cue;
use super::line::Line;
use super::table::Table;
use music::{Beats, LeadSheet};

/// The longest phrase in notes: eight measures of running eighths and some more.
pub const MOST_NOTES: usize = 80;

/// Less than any sum of worths, and far from the end of the numbers.
const NEVER: i64 = i64::MIN / 4;

/// A place where a phrase begins, the head of the tune left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Breath {
    /// The written measure and the place in it of the first note of the new phrase.
    pub measure: usize,
    /// The place in that measure.
    pub at: Beats,
    /// How many plucks the tune has before it.
    pub note: usize,
    /// What spoke for it, the weightiest first.
    pub why: Vec<Cue>,
    /// By how many points it is better to breathe here than to go on.
    pub sure: i64,
}

impl Breath {
    /// In short words: "a long note before it; the opening comes back".
    pub fn because(&self) -> String {
        in_words(&self.why)
    }
}

/// Cues in short words; without any, the count of notes and measures has decided.
pub fn in_words(why: &[Cue]) -> String {
    let words: Vec<&str> = why.iter().map(|cue| cue.words()).collect();
    if words.is_empty() { "the usual length of a phrase".to_owned() } else { words.join("; ") }
}

/// The breaths of a tune in written order.
pub fn breaths(sheet: &LeadSheet) -> Vec<Breath> {
    of_line(&Line::of(sheet), Table::ours())
}

/// The same with the line and the worths given.
pub fn of_line(line: &Line, table: &Table) -> Vec<Breath> {
    let lattice = Lattice::of(line, table);
    let gains = lattice.gains();
    lattice.cut().into_iter().map(|note| explained(line, table, note, gains[note])).collect()
}

/// For each note of a line, by how many points it is better that a phrase begins there than that none does.
pub fn gains(line: &Line, table: &Table) -> Vec<i64> {
    Lattice::of(line, table).gains()
}

struct Lattice {
    /// The worth of a phrase beginning at each note.
    breath: Vec<i64>,
    /// The worth of each stretch, by its end and then its length in notes less one.
    length: Vec<Vec<i64>>,
}

impl Lattice {
    fn of(line: &Line, table: &Table) -> Lattice {
        let count = line.notes.len();
        let breath = (0..count).map(|k| if k == 0 { 0 } else { line.cues(k).into_iter().map(|c| table.worth(c)).sum() }).collect();
        let length = (0..=count)
            .map(|end| (1..=end.min(MOST_NOTES)).map(|n| line.length_cues(end - n, end).map(|c| table.worth(c)).sum()).collect())
            .collect();
        Lattice { breath, length }
    }

    /// The best worth up to each note, with the length of the last phrase.
    fn forward(&self) -> Vec<(i64, usize)> {
        let mut best: Vec<(i64, usize)> = vec![(0, 0)];
        for end in 1..self.length.len() {
            let here = self.breath.get(end).copied().unwrap_or(0);
            let ways = self.length[end].iter().zip(1..).map(|(length, n)| (best[end - n].0 + length + here, n));
            best.push(ways.reduce(|a, b| if b.0 > a.0 { b } else { a }).unwrap_or((0, 0)));
        }
        best
    }

    fn cut(&self) -> Vec<usize> {
        let best = self.forward();
        let mut found = Vec::new();
        let mut end = best.len() - 1;
        while end > 0 {
            end -= best[end].1.max(1);
            found.push(end);
        }
        found.pop();
        found.reverse();
        found
    }

    /// For each note, by how much the best way with a phrase beginning there is better than the best one without.
    fn gains(&self) -> Vec<i64> {
        let count = self.breath.len();
        let forward = self.forward();
        let mut after = vec![NEVER; count + 1];
        after[count] = 0;
        for end in (1..=count).rev() {
            let here = after[end] + self.breath.get(end).copied().unwrap_or(0);
            for (length, n) in self.length[end].iter().zip(1..) {
                after[end - n] = after[end - n].max(here + length);
            }
        }
        let mut across = vec![NEVER; count];
        for (end, after) in after.iter().enumerate().skip(1) {
            let here = after + self.breath.get(end).copied().unwrap_or(0);
            // From the longest stretch to the shortest: a note is crossed by every stretch that begins before it.
            let mut best = NEVER;
            for n in (1..=self.length[end].len()).rev() {
                let start = end - n;
                best = best.max(forward[start].0 + self.length[end][n - 1] + here);
                if start + 1 < end {
                    across[start + 1] = across[start + 1].max(best);
                }
            }
        }
        (0..count).map(|k| if k == 0 { 0 } else { forward[k].0 + after[k] - across[k] }).collect()
    }
}

fn explained(line: &Line, table: &Table, note: usize, sure: i64) -> Breath {
    let first = &line.notes[note];
    Breath { measure: first.measure, at: first.at, note, why: telling(line, table, note), sure }
}

/// The three weightiest cues at a note that are worth telling, each said once.
pub fn telling(line: &Line, table: &Table, note: usize) -> Vec<Cue> {
    let mut why: Vec<Cue> = line.cues(note).into_iter().filter(|c| table.worth(*c) >= TELLING && !c.words().is_empty()).collect();
    why.sort_by_key(|c| (-table.worth(*c), *c));
    let mut told: Vec<&str> = Vec::new();
    why.retain(|c| {
        let new = !told.contains(&c.words());
        told.push(c.words());
        new
    });
    why.truncate(3);
    why
}

/// From so many points on a cue is worth telling.
const TELLING: i64 = 30;

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::sheet;

    /// Ours: four lines of a hymn in four-four, each with a pickup, so that every line ends inside a measure.
    const HYMN: &str = "4/4 G |( G4:1 | B4:1 A4:1 G4:1 A4:1 | B4:1 A4:1 G4:1 D5:1 | E5:1 D5:1 B4:1 C5:1 | D5:3 G4:1 | B4:1 A4:1 G4:1 A4:1 | B4:1 C5:1 D5:1 B4:1 \
        | A4:1 C5:1 B4:1 A4:1 | G4:3 |";

    fn show(tune: &LeadSheet) -> Vec<String> {
        let words = |b: Breath| format!("measure {} beat {}: {}", b.measure, b.at, b.because());
        breaths(tune).into_iter().map(words).collect()
    }

    #[test]
    fn a_phrase_may_begin_inside_a_measure_and_says_why() {
        let expected = [
            "measure 2 beat 3: the rhythm of the opening comes back; a wide leap to it; two measures, and again two",
            "measure 4 beat 3: the opening comes back; a long note before it; a turn of the tune comes back",
            "measure 6 beat 3: the rhythm of the opening comes back; two measures, and again two; a rhythm comes back",
        ];
        assert_eq!(show(&sheet(HYMN)), expected);
        assert!(show(&LeadSheet::default()).is_empty());
    }

    /// Common practice in hymn books. The mark stands where nothing else would stop.
    #[test]
    fn a_fermata_is_a_breath() {
        let line = "G4:1 A4:1 B4:1 A4:1 | G4:2 A4:2 | ".repeat(4);
        let mut tune = sheet(&format!("4/4 G | {line}"));
        tune.measures[2].notes[3].decorations.push(music::Decoration::Fermata);
        let found = breaths(&tune);
        let marked = found.iter().find(|b| (b.measure, b.at) == (3, Beats::ZERO)).expect("a breath after the fermata");
        assert_eq!(marked.why[0], Cue::Marked);
    }

    /// Every division of short lines is priced outright; the search finds the best, and its margins are those between the best with and without a breath.
    #[test]
    fn equals_the_search_through_all_divisions() {
        let tune = sheet("3/4 G |( D4:1 | G4:1 A4:1 B4:1 | G4:2 D4:1 | C5:1 B4:1 A4:1 | B4:2 r:1 | G4:3 |");
        let line = Line::of(&tune);
        let count = line.notes.len();
        let lattice = Lattice::of(&line, Table::ours());
        let worth = |cuts: &[usize]| {
            let ends = cuts.iter().copied().chain([count]);
            let starts = [0].into_iter().chain(cuts.iter().copied());
            cuts.iter().map(|k| lattice.breath[*k]).sum::<i64>() + starts.zip(ends).map(|(a, b)| lattice.length[b][b - a - 1]).sum::<i64>()
        };
        let all: Vec<(i64, Vec<usize>)> = (0..1_u32 << (count - 1))
            .map(|bits| (1..count).filter(|k| bits >> (k - 1) & 1 == 1).collect::<Vec<usize>>())
            .map(|cuts| (worth(&cuts), cuts))
            .collect();
        let best = |with: &dyn Fn(&[usize]) -> bool| all.iter().filter(|a| with(&a.1)).map(|a| a.0).max().expect("there is a way");
        assert_eq!(worth(&lattice.cut()), best(&|_| true));
        for (k, gain) in lattice.gains().into_iter().enumerate().skip(1) {
            assert_eq!(gain, best(&|cuts| cuts.contains(&k)) - best(&|cuts| !cuts.contains(&k)), "note {k}");
        }
    }
}
