//! The melody: its plucks with ties joined, how many there are, its range.
//!
//! Nothing here knows chords or phrases.

use music::{Beats, LeadSheet, Pitch};

/// One pluck of the melody: tied notes are one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pluck {
    /// Index of the written measure.
    pub measure: usize,
    /// Place in the measure.
    pub at: Beats,
    /// Place when the measures are laid end to end as written.
    pub start: Beats,
    /// Sounding length, ties included.
    pub length: Beats,
    /// The highest of the strings plucked.
    pub top: Pitch,
    /// The lowest of them.
    pub bottom: Pitch,
}

impl Pluck {
    /// Where it is over, laid end to end as written.
    pub fn end(&self) -> Beats {
        self.start + self.length
    }
}

/// All plucks in written order; grace notes are left aside.
pub fn plucks(sheet: &LeadSheet) -> Vec<Pluck> {
    let mut found: Vec<Pluck> = Vec::new();
    for (measure, (m, start)) in sheet.measures.iter().zip(sheet.starts()).enumerate() {
        for note in &m.notes {
            let (Some(top), Some(bottom)) = (note.top(), note.bottom()) else { continue };
            match found.last_mut() {
                Some(last) if note.tie.from_before && last.end() == start + note.at => last.length += note.length,
                _ => found.push(Pluck { measure, at: note.at, start: start + note.at, length: note.length, top, bottom }),
            }
        }
    }
    found
}

/// Plucks a quarter note, in thousandths, over all measures; 0 for an empty tune.
pub fn plucks_per_quarter(sheet: &LeadSheet) -> i64 {
    let length: Beats = sheet.measures.iter().map(|m| m.frame.length).sum();
    let count = sheet.measures.iter().flat_map(|m| &m.notes).filter(|n| n.is_plucked()).count();
    per(count, length, Beats::QUARTER)
}

fn per(count: usize, length: Beats, unit: Beats) -> i64 {
    if length <= Beats::ZERO { 0 } else { count as i64 * unit.thousandths_of(length) }
}

/// The lowest and highest pitch of the melody, its median and the quarter of its plucks that lies lowest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Range {
    /// The lowest of all.
    pub lowest: Pitch,
    /// A quarter of the plucks lie below or on it.
    pub lower_quartile: Pitch,
    /// Half of the plucks lie below or on it.
    pub median: Pitch,
    /// The highest of all.
    pub highest: Pitch,
}

/// Each pluck counts once, by its top pitch (the lowest of the tune by its bottom); `None` for a tune of rests.
///
/// ```
/// use music::text;
///
/// let tune = text::sheet("4/4 C | C5:1 E5:1 G5:1 C6:1 |");
/// let range = harmony::melody::range(&tune).expect("it has notes");
/// assert_eq!((range.lowest.to_string(), range.highest.to_string()), ("C5".into(), "C6".into()));
/// ```
pub fn range(sheet: &LeadSheet) -> Option<Range> {
    let plucks = plucks(sheet);
    let mut tops: Vec<Pitch> = plucks.iter().map(|p| p.top).collect();
    tops.sort_by_key(|p| (p.midi(), p.position()));
    let last = tops.len().checked_sub(1)?;
    let lowest = plucks.iter().map(|p| p.bottom).min_by_key(|p| p.midi())?;
    Some(Range { lowest, lower_quartile: tops[last / 4], median: tops[last / 2], highest: tops[last] })
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::sheet;

    fn tied(text: &str, from: (usize, usize)) -> LeadSheet {
        let mut tune = sheet(text);
        tune.measures[from.0].notes[from.1].tie.from_before = true;
        tune
    }

    #[test]
    fn ties_make_one_pluck() {
        let tune = tied("4/4 C | C4:2 D4:2 | D4:3 r:1 |", (1, 0));
        let lengths: Vec<String> = plucks(&tune).iter().map(|p| format!("{} at {} for {}", p.top, p.start, p.length)).collect();
        assert_eq!(lengths, ["C4 at 0 for 2", "D4 at 2 for 5"]);
        assert_eq!(plucks_per_quarter(&tune), 250);
    }

    #[test]
    fn the_range_counts_plucks() {
        let range = range(&sheet("4/4 C | C5:1 A4:1 [C4+G4]:1 E5:1 |")).expect("there are notes");
        let names = [range.lowest, range.lower_quartile, range.median, range.highest].map(|p| p.to_string());
        assert_eq!(names, ["C4", "G4", "A4", "E5"]);
        assert_eq!(super::range(&sheet("4/4 C | r:4 |")), None);
    }
}
