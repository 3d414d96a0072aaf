//! What each cue is worth, in hundredths of a unit of log odds: `data/phrases.txt`.

use super::cues::Cue;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The worth of every cue, in the order of [`Cue::ALL`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table(Vec<i64>);

static OURS: LazyLock<Table> =
    LazyLock::new(|| Table::read(include_str!("../../../../data/phrases.txt")).expect("the table in the program is good"));

impl Table {
    /// The table the program carries.
    pub fn ours() -> &'static Table {
        &OURS
    }

    /// A worth for each cue, in the order of [`Cue::ALL`]. Panics for any other number of them.
    pub fn of(worths: Vec<i64>) -> Table {
        assert_eq!(worths.len(), Cue::ALL.len(), "a worth for each cue");
        Table(worths)
    }

    /// Of a cue, in points.
    pub fn worth(&self, cue: Cue) -> i64 {
        self.0[cue as usize]
    }

    /// A line is a cue and its worth; what follows `#` is said to the reader. `Err` says which line is wrong. Cues not named are worth nothing.
    pub fn read(text: &str) -> Result<Table, String> {
        let names: BTreeMap<&str, usize> = Cue::ALL.iter().enumerate().map(|(i, c)| (c.name(), i)).collect();
        let mut worths = vec![0; Cue::ALL.len()];
        for (number, line) in (1..).zip(text.lines()) {
            let said = line.split('#').next().unwrap_or_default();
            let mut words = said.split_whitespace();
            let Some(name) = words.next() else { continue };
            let place = names.get(name).ok_or_else(|| format!("line {number}: no cue is called {name}"))?;
            let worth =
                words.next().and_then(|w| w.parse().ok()).ok_or_else(|| format!("line {number}: {name} has no whole number beside it"))?;
            worths[*place] = worth;
        }
        Ok(Table(worths))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wrong_line_is_told_by_its_number() {
        assert_eq!(Table::read("# by ear\nMarked 400 # a fermata\n\n").map(|t| (t.worth(Cue::Marked), t.worth(Cue::Begins))), Ok((400, 0)));
        assert_eq!(Table::read("Marked 400\nMarkd 1"), Err("line 2: no cue is called Markd".to_owned()));
        assert_eq!(Table::read("Marked high"), Err("line 1: Marked has no whole number beside it".to_owned()));
    }
}
