//! How the melody moves: its plucks with ties joined, its range, and where it is busy or held.
//!
//! Nothing here knows chords or phrases.

use music::{Beats, LeadSheet, Note, Pitch};

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
    pub top: Pitch,
    pub bottom: Pitch,
}

impl Pluck {
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

/// Plucks a beat in one measure, in thousandths.
pub fn plucks_per_beat(sheet: &LeadSheet, measure: usize) -> i64 {
    let Some(m) = sheet.measures.get(measure) else { return 0 };
    per(m.notes.iter().filter(|n| n.is_plucked()).count(), m.frame.length, m.frame.meter.beat())
}

fn per(count: usize, length: Beats, unit: Beats) -> i64 {
    if length <= Beats::ZERO { 0 } else { count as i64 * unit.thousandths_of(length) }
}

/// The lowest and highest pitch of the melody, its median and the quarter of its plucks that lies lowest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Range {
    pub lowest: Pitch,
    /// A quarter of the plucks lie below or on it.
    pub lower_quartile: Pitch,
    pub median: Pitch,
    pub highest: Pitch,
}

/// Each pluck counts once, by its top pitch (the lowest of the tune by its bottom); `None` for a tune of rests.
pub fn range(sheet: &LeadSheet) -> Option<Range> {
    let plucks = plucks(sheet);
    let mut tops: Vec<Pitch> = plucks.iter().map(|p| p.top).collect();
    tops.sort_by_key(|p| (p.midi(), p.position()));
    let last = tops.len().checked_sub(1)?;
    let lowest = plucks.iter().map(|p| p.bottom).min_by_key(|p| p.midi())?;
    Some(Range { lowest, lower_quartile: tops[last / 4], median: tops[last / 2], highest: tops[last] })
}

/// How the melody moves in one measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Motion {
    /// No pluck at all: rests, or a note held over.
    Resting,
    /// A note or rest of at least two beats (one in a measure of two), or at most one pluck for two beats.
    Held,
    Flowing,
    /// On average two plucks a beat or more (three in compound meters).
    Busy,
}

/// One entry a measure. The thresholds are ours.
pub fn motion(sheet: &LeadSheet) -> Vec<Motion> {
    (0..sheet.measures.len()).map(|i| motion_of(sheet, i)).collect()
}

fn motion_of(sheet: &LeadSheet, measure: usize) -> Motion {
    let m = &sheet.measures[measure];
    let meter = &m.frame.meter;
    let rate = plucks_per_beat(sheet, measure);
    let long = if meter.beats().len() > 2 { meter.beat() * 2 } else { meter.beat() };
    let held = |n: &Note| n.length >= long && (n.is_rest() || n.length > meter.beat());
    if !m.notes.iter().any(Note::is_plucked) {
        Motion::Resting
    } else if rate >= if meter.is_compound() { 2950 } else { 1950 } {
        Motion::Busy
    } else if rate <= 500 || m.notes.iter().any(held) {
        Motion::Held
    } else {
        Motion::Flowing
    }
}

/// A stretch in which the melody begins nothing new: a long note or rests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hold {
    /// Index of the written measure in which it begins.
    pub measure: usize,
    /// Place in that measure.
    pub at: Beats,
    /// Until the next pluck or rest; may reach over bar lines.
    pub length: Beats,
    pub what: HoldKind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoldKind {
    Note,
    Rest,
}

/// Every note or rest of two beats or more, ties and neighbouring rests joined, in written order.
pub fn holds(sheet: &LeadSheet) -> Vec<Hold> {
    let mut all: Vec<(Hold, Beats)> = Vec::new();
    for (measure, (m, start)) in sheet.measures.iter().zip(sheet.starts()).enumerate() {
        for note in &m.notes {
            let what = if note.is_rest() { HoldKind::Rest } else { HoldKind::Note };
            let joins = note.is_rest() || note.tie.from_before;
            match all.last_mut() {
                Some((last, end)) if joins && last.what == what && *end == start + note.at => {
                    last.length += note.length;
                    *end += note.length;
                }
                _ => all.push((Hold { measure, at: note.at, length: note.length, what }, start + note.end())),
            }
        }
    }
    let long = |h: &Hold| h.length >= sheet.measures[h.measure].frame.meter.beat() * 2;
    all.into_iter().map(|(hold, _)| hold).filter(long).collect()
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
        assert_eq!((plucks_per_beat(&tune, 0), plucks_per_beat(&tune, 1), plucks_per_beat(&tune, 9)), (500, 0, 0));
    }

    #[test]
    fn the_range_counts_plucks() {
        let range = range(&sheet("4/4 C | C5:1 A4:1 [C4+G4]:1 E5:1 |")).expect("there are notes");
        let names = [range.lowest, range.lower_quartile, range.median, range.highest].map(|p| p.to_string());
        assert_eq!(names, ["C4", "G4", "A4", "E5"]);
        assert_eq!(super::range(&sheet("4/4 C | r:4 |")), None);
    }

    #[test]
    fn motions() {
        let all = |text| motion(&sheet(text));
        use Motion::*;
        assert_eq!(all("4/4 C | C4:4 | r:4 | C4:1 C4:1 D4:1 E4:1 | C4:2 D4:1 E4:1 |"), [Held, Resting, Flowing, Held]);
        assert_eq!(all("2/4 C | C4:1/2 D4:1/2 E4:1/2 F4:1/2 | C4:1 D4:1 |"), [Busy, Flowing]);
        assert_eq!(all("6/8 C | C4:1/2 D4:1/2 E4:1/2 F4:1/2 G4:1/2 A4:1/2 | C4:1 D4:1/2 E4:3/2 | C4:3 |"), [Busy, Flowing, Held]);
    }

    #[test]
    fn long_notes_and_rests_are_found() {
        let tune = tied("4/4 C | C4:1 D4:3 | D4:1 E4:1 r:2 | r:1 C4:3 |", (1, 0));
        let shown: Vec<String> = holds(&tune).iter().map(|h| format!("{} {} {} {:?}", h.measure, h.at, h.length, h.what)).collect();
        assert_eq!(shown, ["0 1 4 Note", "1 2 3 Rest", "2 1 3 Note"]);
    }
}
