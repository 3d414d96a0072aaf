//! Chords that come too fast are taken away: the program's own of themselves, those of the file only on her wish.

use super::{ChordsOf, hers};
use crate::failure::Failure;
use crate::job::Setup;
use harmony::kind::{guess, main_meter};
use harmony::phrases::breaths::breaths;
use harmony::thin::{Pace, Task, thin};
use harmony::{assumed_tempo, spread};
use music::{ChordOrigin, Clock, LeadSheet, MeasureNumber, Meter, PlacedChord};

impl Setup {
    pub(super) fn thin(&self, sheet: &mut LeadSheet, chords: &mut ChordsOf) -> Result<(), Failure> {
        let choices = &self.asked().choices;
        let keep = choices.keep.iter().map(|text| hers::kept(text)).collect::<Result<Vec<_>, _>>()?;
        if choices.chords_a_measure.is_none() && !chords.is_ours() || sheet.measures.is_empty() {
            return Ok(());
        }
        spread(sheet);
        let clock = self.clock(sheet)?;
        let pace = match choices.chords_a_measure {
            Some(most) => Pace::wished(sheet, &clock, most as usize),
            None => Pace::of_player(sheet, &clock, self.player.fluency.chord()),
        };
        let numbers: Vec<MeasureNumber> = sheet.measures.iter().map(|m| m.frame.number).collect();
        let is_kept = |measure: usize, placed: &PlacedChord| {
            let own = placed.origin == ChordOrigin::Hers || choices.chords_a_measure.is_none() && placed.origin != ChordOrigin::Ours;
            own || keep.iter().any(|(number, at)| numbers[measure] == *number && at.is_none_or(|at| at == placed.at))
        };
        let breaths = breaths(sheet);
        chords.most_wished = choices.chords_a_measure.is_some();
        let full = sheet.measures.iter().zip(&pace.most).filter(|(m, _)| m.frame.length == m.frame.meter.length()).map(|(_, most)| *most);
        chords.most = full.max().or_else(|| pace.most.iter().max().copied());
        chords.dropped = thin(sheet, &Task { clock: &clock, breaths: &breaths, pace: &pace, stays: &is_kept });
        Ok(())
    }

    /// The times of a tune as it will be arranged.
    fn clock(&self, sheet: &LeadSheet) -> Result<Clock, Failure> {
        let wishes = self.asked().choices.for_key(self.wishes(), sheet)?;
        let kind = wishes.kind.unwrap_or_else(|| guess(sheet).kind);
        let meter = main_meter(sheet).unwrap_or_else(|| Meter::simple(4, 4));
        let own = sheet.opening_tempo().unwrap_or_else(|| assumed_tempo(kind, &meter));
        let tempo = wishes.tempo.unwrap_or(own);
        let mut timed = sheet.clone();
        timed.set_opening_tempo(own, tempo);
        Ok(Clock::of_sheet(&timed, tempo))
    }
}
