//! The two tables of the search: what each cue is worth, and how usual chords are. Both are text that a person can read, with their origin at the head.

use super::cues;
use super::palette::{CHORDS, Family, Numeral};
use super::places::Part;
use std::sync::LazyLock;

/// The worth of each cue in hundredths of log odds, in the order of [`cues::names`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Worths(pub Vec<i64>);

static WORTHS: LazyLock<Worths> = LazyLock::new(|| Worths::read(include_str!("worths.txt")).expect("the table in the program is good"));
static HABITS: LazyLock<Habits> = LazyLock::new(|| Habits::read(include_str!("habits.txt")).expect("the table in the program is good"));

impl Worths {
    /// The table the program carries.
    pub fn ours() -> &'static Worths {
        &WORTHS
    }

    /// A line is a cue and its worth; what follows `#` is said to the reader. Cues not named are worth nothing.
    pub fn read(text: &str) -> Result<Worths, String> {
        let names = cues::names();
        let mut worths = vec![0; names.len()];
        for (number, line) in (1..).zip(text.lines()) {
            let mut words = line.split('#').next().unwrap_or_default().split_whitespace();
            let Some(name) = words.next() else { continue };
            let place = names.iter().position(|n| n == name).ok_or_else(|| format!("line {number}: no cue is called {name}"))?;
            let worth = words.next().and_then(|w| w.parse().ok());
            worths[place] = worth.ok_or_else(|| format!("line {number}: {name} has no whole number beside it"))?;
        }
        Ok(Worths(worths))
    }
}

/// How often chords were counted.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Counts {
    /// By family, part of the phrase, chord.
    pub usual: [[[u32; CHORDS]; 7]; 2],
    /// By family, chord before, chord after: changes only.
    pub follows: [[[u32; CHORDS]; CHORDS]; 2],
}

/// How usual chords are: natural logarithms of shares, in hundredths, with a little added to every count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Habits {
    usual: [[[i64; CHORDS]; 7]; 2],
    follows: [[[i64; CHORDS]; CHORDS]; 2],
}

/// What a chord of the whole family counts in a rare row, and what every chord counts in the whole.
const SMOOTH: f64 = 6.0;
const LEAST: f64 = 0.5;

impl Habits {
    /// The table the program carries.
    pub fn ours() -> &'static Habits {
        &HABITS
    }

    /// What was counted, as logarithms.
    pub fn of(counts: &Counts) -> Habits {
        let mut habits = Habits { usual: Default::default(), follows: Default::default() };
        for family in 0..2 {
            let mut all = [LEAST; CHORDS];
            let mut changes = [LEAST; CHORDS];
            for row in &counts.usual[family] {
                row.iter().zip(&mut all).for_each(|(n, sum)| *sum += f64::from(*n));
            }
            for row in &counts.follows[family] {
                row.iter().zip(&mut changes).for_each(|(n, sum)| *sum += f64::from(*n));
            }
            for part in 0..7 {
                habits.usual[family][part] = logs(&counts.usual[family][part], &all, None);
            }
            for from in 0..CHORDS {
                habits.follows[family][from] = logs(&counts.follows[family][from], &changes, Some(from));
            }
        }
        habits
    }

    /// How usual a chord is in a part of a phrase, in hundredths of log odds.
    pub fn usual(&self, family: Family, part: Part, numeral: Numeral) -> i64 {
        self.usual[family as usize][part as usize][usize::from(numeral.0)]
    }

    /// How usually one chord follows another, in hundredths of log odds.
    pub fn follows(&self, family: Family, from: Numeral, to: Numeral) -> i64 {
        self.follows[family as usize][usize::from(from.0)][usize::from(to.0)]
    }

    /// A line is a family, a part of the phrase or the word `after` with a chord, a chord, and how often it was counted.
    pub fn read(text: &str) -> Result<Habits, String> {
        Counts::read(text).map(|counts| Habits::of(&counts))
    }
}

/// The logarithms of a row's shares; what the row does not tell comes from the whole. Whole hundredths, so that they are the same on every machine.
fn logs(row: &[u32; CHORDS], whole: &[f64; CHORDS], but: Option<usize>) -> [i64; CHORDS] {
    let counts = |i: usize| but != Some(i);
    let of_whole: f64 = (0..CHORDS).filter(|i| counts(*i)).map(|i| whole[i]).sum();
    let of_row: f64 = (0..CHORDS).filter(|i| counts(*i)).map(|i| f64::from(row[i])).sum();
    std::array::from_fn(|i| {
        let share = (f64::from(row[i]) + SMOOTH * whole[i] / of_whole) / (of_row + SMOOTH);
        (share.max(1e-4).ln() * 100.0).round() as i64
    })
}

impl Counts {
    /// Reads a table; `Err` says which line is wrong.
    pub fn read(text: &str) -> Result<Counts, String> {
        let mut counts = Counts::default();
        for (number, line) in (1..).zip(text.lines()) {
            let words: Vec<&str> = line.split('#').next().unwrap_or_default().split_whitespace().collect();
            if words.is_empty() {
                continue;
            }
            counts.add(&words).ok_or_else(|| format!("line {number}: not a family, a part or `after`, chords and a count"))?;
        }
        Ok(counts)
    }

    fn add(&mut self, words: &[&str]) -> Option<()> {
        let family = *Family::ALL.iter().find(|f| f.name() == words[0])?;
        let chord = |i: usize| Numeral::named(words.get(i)?, family).map(|n| usize::from(n.0));
        let (row, rest) = match *words.get(1)? {
            "after" => (&mut self.follows[family as usize][chord(2)?], 3),
            part => (&mut self.usual[family as usize][Part::ALL.iter().position(|p| p.name() == part)?], 2),
        };
        for pair in words[rest..].chunks(2) {
            let number = Numeral::named(pair[0], family)?;
            row[usize::from(number.0)] = pair.get(1)?.parse().ok()?;
        }
        Some(())
    }

    /// The inverse of [`Counts::read`].
    pub fn write(&self) -> String {
        let mut text = String::new();
        for family in Family::ALL {
            let told = |row: &[u32; CHORDS]| -> String {
                let pairs = Numeral::all().filter(|n| row[usize::from(n.0)] > 0);
                pairs.map(|n| format!("  {} {}", n.name(family), row[usize::from(n.0)])).collect()
            };
            for part in Part::ALL {
                text.push_str(&format!("{} {}{}\n", family.name(), part.name(), told(&self.usual[family as usize][part as usize])));
            }
            for from in Numeral::all().filter(|n| self.follows[family as usize][usize::from(n.0)].iter().any(|c| *c > 0)) {
                let row = &self.follows[family as usize][usize::from(from.0)];
                text.push_str(&format!("{} after {}{}\n", family.name(), from.name(family), told(row)));
            }
        }
        text
    }
}
