//! Measures that do not follow the one written before them: a second ending, a coda.

use music::order::playing_order;
use music::{Frame, LeadSheet};

/// For each measure whether it is first played after another than the one written before. The first measure is.
pub fn comes_from_elsewhere(sheet: &LeadSheet) -> Vec<bool> {
    let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
    let order = playing_order(&frames).measures;
    let mut found = vec![false; frames.len()];
    let mut seen = found.clone();
    for (k, &measure) in order.iter().enumerate() {
        if !std::mem::replace(&mut seen[measure], true) {
            found[measure] = k.checked_sub(1).is_none_or(|before| order[before] + 1 != measure);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::measure::Ending;

    #[test]
    fn a_second_ending_does() {
        let mut tune = music::text::sheet("2/4 C |: C4:2 | G4:2 :| A4:2 | C4:2 |");
        for (i, pass) in [(1, 1), (2, 2)] {
            tune.measures[i].frame.ending = Some(Ending { passes: vec![pass], starts: true, stops: true });
        }
        assert_eq!(comes_from_elsewhere(&tune), [true, false, true, false]);
    }
}
