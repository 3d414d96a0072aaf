//! What the breaths say to the planner, which counts phrases in whole measures.
//!
//! A tune in strains (each a multiple of four measures between signs) or in running notes is danced to: its phrases stay in fours and the breaths inside them are
//! small ones. In any other tune, a hymn or a song, the phrases are where one breathes; but a handful of notes, or long ones alone, or one pitch
//! again and again, tell too little.

use super::breaths;
use super::line::Line;
use super::sections::Section;
use super::table::Table;
use music::LeadSheet;

/// From so many plucks a beat on, in hundredths, the notes run. Ours: of the chorales and songs that were looked at nine in ten move more slowly, of jigs and reels none.
const RUNNING: i64 = 150;
/// Slower than this, or with fewer notes, there is too little to compare. Ours: all but the slowest twentieth of those tunes have more.
const STILL: i64 = 50;
const FEWEST_NOTES: usize = 24;
/// Points of the table for one of the planner's, and the most that count either way. Ours: as much as makes the phrases of chorales and folk songs those that
/// are marked, while the fours of the tunes cut by hand stay.
const POINTS_FOR_ONE: i64 = 5;
const MOST: i64 = 120;

/// For each measure, what the breaths add for a phrase beginning with it; nothing at all for a dance.
pub fn favour(sheet: &LeadSheet, sections: &[Section], line: &Line) -> Vec<i64> {
    let is_sung =
        (STILL..RUNNING).contains(&line.pace()) && line.notes.len() >= FEWEST_NOTES && line.repeated_notes() * 2 < line.notes.len();
    if !is_sung || is_in_strains(sheet, sections) {
        return vec![0; sheet.measures.len()];
    }
    let mut points = vec![-MOST; sheet.measures.len()];
    for (k, gain) in breaths::gains(line, Table::ours()).into_iter().enumerate() {
        let here = &mut points[line.first_measure(k, sheet)];
        *here = (*here).max((gain / POINTS_FOR_ONE).clamp(-MOST, MOST));
    }
    points
}

fn is_in_strains(sheet: &LeadSheet, sections: &[Section]) -> bool {
    let signed = sections.len() > 1 || sheet.measures.iter().any(|m| m.frame.repeat_end.is_some());
    signed && sections.iter().flat_map(Section::lines).all(|line| line.len().is_multiple_of(4))
}
